// Package workbook writes tables as XLSX workbooks (ISO/IEC 29500) with real
// numbers and frozen heads, and reads uploaded ones within limits.
package workbook
