// Package labels is the paper side of the yard: the grammar of the printed
// codes, suppliers' GS1 labels, barcode symbols and the PDF sheets that carry
// them.
//
// Nothing here knows the database: callers fill plain rows (Badge, JobCard,
// LotLabel …) and get a PDF, or hand in what a scanner sent and get a Reading.
package labels
