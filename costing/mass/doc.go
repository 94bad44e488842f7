// Package mass is the second ledger: kilograms that stay aboard, what is
// aboard without a weight, and for each laminate the fibre fraction, held
// against the band of its process.
//
// It is a check of the books. A fraction outside its band asks a question: a
// leak, a resin-rich part, a lot that nobody scanned. One within it accepts
// nothing: only samples tested to a standard say what a laminate is made of
// (ISO 1172 for glass, ISO 14127 or ASTM D3171 for carbon).
package mass

// Caution stands wherever fractions are shown.
const Caution = "A check of the books, never a structural acceptance: it knows what was scanned, not what was laminated. " +
	"Samples tested to a standard (ISO 1172, ISO 14127, ASTM D3171), the designer and the class society decide."
