// Package costing holds what the whole costing engine shares: exact money and
// quantities, dates, the yard's master data, postings and totals.
//
// The engine is pure. It asks nothing of the machine: no clock, no file, no
// network, no database. Instants, master data and recorded facts come in as
// values; entries, bookings, postings and figures go out as values. The same
// facts in any order of arrival give the same cents.
//
// Conventions, stated once:
//
//   - Money is whole minor units (cents) of the yard's base currency.
//   - Quantity, Price, Share and Hours are whole millionths.
//   - Instants are milliseconds since the Unix epoch, durations whole seconds.
//   - Only a posting is rounded, half away from zero. In an ordered series the
//     running total is rounded and the posting is the step (running rounding).
//   - Adverse variances are positive.
package costing
