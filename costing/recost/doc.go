// Package recost derives everything that is derived from everything that was
// recorded. It is what a rebuild checks the kept figures against, what a
// report as of an earlier instant is made of, and where the two units of the
// engine, the worker and the stock unit, are folded from their first fact on.
package recost
