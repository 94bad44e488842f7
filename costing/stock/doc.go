// Package stock turns what was drawn from the stores into charges.
//
// The unit is the lot for a lot-costed item and the item's pool for an
// average-costed one. A unit's events (receipts, draws, counts), in order, are
// folded into a Book; each draw is charged by the rules of the cost method:
//
//	lot:     draw k costs round(C × cum_k / Q) − round(C × cum_k−1 / Q)
//	average: a draw of q costs round(V × q / Q)
//
// so that when the last gram is gone the cost is gone, to the cent.
package stock
