// Package scantest plays scan scripts: short text files that hold a yard, what
// its scanners sent, and the lines that must come of it. Every rig - the pure
// core, each kind of database, the server - must give the same lines, so a new
// case is a new file and nothing else.
//
// A script has comments (#), yard lines, reads, reports, a line of dashes, and
// under it the expected lines, which -update writes anew:
//
//	policy on_cost 0.25                 (a third word: from that day on)
//	shift day 1-5 07:00-16:00
//	break day 12:00-12:30
//	worker W1 rate=20 shift=day         (any column of workers.csv)
//	job J1 hull=H1 stage=LAM            (any column of jobs.csv)
//	lot L1 item=RES received=2026-02-02T08:00 quantity=100 price=1000
//	day 2026-03-02
//	07:00 GATE W1 J1                    (reads 3 s apart, by the things' keys)
//	16:00 GATE W1 off
//	report 2026-03-02 18:00
//	----
//
// Times are the yard's local ones; a Z behind one makes it UTC. Every yard has
// the clock station GATE, the stores station STORE, the hulls H1 and H2, the
// stage LAM and the indirect code CLEAN, unless it says otherwise of them.
package scantest
