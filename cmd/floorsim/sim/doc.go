// Package sim is a simulated yard: the months of reads a real floor would
// have sent, the documents around them, and the truth they came from.
//
// The yard is Marnolva, of our own invention. It builds small composite pilot
// and rescue craft for harbours and coast services: the Corvane 13, the Selmar
// 11 and the Ostrel 9. Forty-two people in six crews infuse hulls and decks in
// epoxy and glass with some carbon, bond bulkheads, tanks and floors, fair and
// paint (the fairing crew works evenings), fit machinery, wiring and wheelhouse
// furniture, and hand the boats over afloat. Seven hulls are on the floor in
// the half year that is simulated: three were begun before it, two are laid up
// as a batch, the last has only just started. Most make money. One does not:
// its topsides printed through and were faired again and again, its infusions
// filled the catch-pot, and extras were built that nobody had agreed to pay for.
//
// People on the floor are people: they forget to clock off, pick the wrong
// card, scan twice, work Saturdays, and a station drops off the network for an
// afternoon. Each mishap has a rate in Rates. What really happened is kept
// beside it as the truth, so that a test can say how far the books are from it.
//
// Everything is drawn from one seed with integers: the same Config gives the
// same bytes. All names are coined. Prices, hours and quantities are invented,
// at a level that is common practice in such yards; they have no other source.
package sim
