// Package clock turns what scanners sent into labour.
//
//   - A station's reads, in order, form sentences (Context.Hear); a sentence
//     that is complete makes an Entry.
//   - A worker's entries, in order, form bookings; a booking is cut into
//     pieces with one date and one pay band, and each piece is priced
//     (Fold.Apply).
//
// Both are folds: a small state that the next read or entry extends. What
// comes in order costs one step; what comes late is folded again from the last
// state before it. Either way gives the same result.
package clock
