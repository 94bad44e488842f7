// Package material holds what was drawn against what the estimate counted on:
// net in the part, waste and its factor, resin against hardener, and the factor
// that the last hulls suggest for the next estimate.
//
// A waste factor is a share of net, never of gross. Net of a measured item is
// what was drawn less the waste that was weighed; of a factored item it is what
// was read, and its waste is what left the stock beyond that: the factor, trued
// up by counts. Where nothing was weighed the waste is not known, and nothing
// is said of it.
package material
