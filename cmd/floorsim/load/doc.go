// Package load drives a Hulltally as a yard's stations do and measures it:
// arrivals don't wait for answers, so a slow server meets a queue and not a
// patient crowd. Beside each figure stands what the machine could do at most in
// the same run: flushes of its disk, a bare batched insert of the same rows,
// streaming the rows out.
package load
