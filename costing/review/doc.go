// Package review turns a hull's figures into what its owner asks: how far the
// margin has moved, where, why, and what it comes to if nothing changes. It
// ranks causes and puts them into words by fixed rules; it never guesses.
package review
