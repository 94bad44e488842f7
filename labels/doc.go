// Package labels is the paper side of the yard: the grammar of the printed
// codes, suppliers' GS1 labels, barcode symbols and the PDF sheets that carry
// them.
//
//   - A scan: Read gives one of our codes or a quantity; at goods-in
//     LooksLikeGS1 and ParseGS1 take a supplier's label apart.
//   - Issue: RandomSerial for badges, NextSerial for everything else.
//   - Paper: fill a Sheet with rows and call Write for the PDF or Preview for
//     a picture of one page. LoadFonts once, for names in any script.
//
// Nothing here knows the database or the clock. Lengths are mm, type is in
// points, and bars are whole dots of the printer that the options name.
package labels
