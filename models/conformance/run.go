package conformance

import (
	"testing"

	"hulltally/models"
)

// Run puts the store that open gives to the suite; every test opens its own.
func Run(t *testing.T, open func(t testing.TB) *models.Store) {
	tests := []struct {
		name string
		run  func(t *testing.T, open func(t testing.TB) *models.Store)
	}{
		{"fresh database is migrated", testFresh},
		{"transactions roll back and count", testTransactions},
		{"writers wait for each other", testWriters},
		{"loading twice changes nothing", testIdempotence},
		{"only what differs is rewritten", testChange},
		{"history tells every change", testHistory},
		{"changes in the record are sealed", testSealedHistory},
		{"changes are found", testChangesShown},
		{"rows entered count like rows loaded", testEnter},
		{"a forecast that was stated", testStated},
		{"a dump loads to the same yard", testRoundTrip},
		{"bad files change nothing", testAllOrNothing},
		{"each problem has its place", testProblems},
		{"problems against stored rows", testStoredProblems},
		{"currency and zone hold fast", testHeldPolicies},
		{"codes are issued once", testCodes},
		{"the yard reaches the engine", testYard},
		{"offcuts and freight in any order", testOffcuts},
		{"a change is followed, not all read anew", testFollow},
		{"many rows load quickly", testMany},
		{"a read is taken in once", testSameReadTwice},
		{"the order of arrival is nothing", testArrival},
		{"a removed name is nowhere", testRemovedName},
		{"many senders at once", testSenders},
		{"a poisoned read fails alone", testPoison},
		{"what is cut off leaves nothing", testCut},
		{"later changes count from the start", testChanges},
		{"what was not known comes to count", testKnownLater},
		{"damage is found and put right", testDamage},
		{"a lost badge keeps its work", testLostBadge},
		{"revoked codes stay known", testRevocation},
		{"what is printed", testPrints},
		{"what the stores' desk shows", testDesk},
		{"a lot past its date asks why", testReasons},
		{"a count far off is asked for twice", testCount},
		{"goods in at the hatch", testTakeIn},
		{"figures as of an instant", testAsOf},
		{"a batch is followed both ways", testTrace},
		{"a month is what plain SQL reckons", testMonth},
		{"revisions are kept and signed", testRevisions},
		{"tools gather cost apart", testTools},
		{"change orders move step by step", testChangeMoves},
		{"the ready list of stages", testReadyStages},
		{"a year closed month by month", testClosedYear},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) { test.run(t, open) })
	}
}
