// Package faults breaks a running Hulltally on purpose, hundreds of times, and
// counts what was lost: servers killed at random instants, torn ends of the
// write-ahead log, full disks, databases stopped or killed, a primary lost and
// its standby promoted, cut networks, doubled and reordered batches, jumping
// clocks, two servers at one worker and one lot. After each fault every read
// that was acknowledged has to be there once, everything derived has to be as
// a rebuild makes it, and the ties have to hold.
package faults
