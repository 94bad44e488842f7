// Package costingtest is a second, slow implementation of the costing rules,
// written from their text alone, for tests to hold the engine against.
//
// It shares no code with the engine: fractions everywhere, everything computed
// anew for every question, nothing remembered. Where the two differ, the text
// of the rules decides.
package costingtest
