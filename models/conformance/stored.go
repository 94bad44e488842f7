package conformance

import (
	"testing"

	"hulltally/models"
)

// testStoredProblems: files are checked against what was loaded before.
func testStoredProblems(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	for _, bad := range []struct{ file, text, want string }{
		{
			"rates.csv", "worker,from,rate\n101,2027-01-01,20\n109,2027-01-01,20\n",
			"rates.csv:3: worker: there is no worker 109: add it to workers.csv or correct the cell",
		},
		{
			"lots.csv", "lot,item,received,quantity,unit,price\nL9,TAPE,2026-03-01T00:00:00Z,1,MTR,1\n",
			"lots.csv:2: unit: item TAPE has no conversion from MTR to C62: give the item's data for it, or the quantity in C62",
		},
		{
			"items.csv", "item,name,stock_unit,cost_method,standard_price,waste_mode,role\nBIAX,b,MTK,lot,1,measured,fibre\n",
			"items.csv:2: stock_unit: lot L1 of it is in MTR already: item BIAX has no conversion from MTR to MTK: give the item's data for it, or the quantity in MTK",
		},
		{
			"codes.csv", "kind,key,payload\njob,J2,J0000019\n",
			"codes.csv:2: payload: J0000019 is printed already, as job J1: take the row away",
		},
		{
			"codes.csv", "kind,key,payload\nworker,101,P3F7K2JT\n",
			"codes.csv:2: payload: worker 101 has the code P3F7K2E2 already: revoke one of the two",
		},
		{
			"estimate.csv", "job,change,element,key,quantity,standard_rate\nJ4,X1,labour,fitter,1,2\n",
			"estimate.csv:2: change: X1 is a change of hull H1, which the job is not for: correct one of them",
		},
		{
			"corrections.csv", "worker,at,kind,target,who,why\n101,2026-03-02T16:00:00Z,add,J77,I,x\n",
			"corrections.csv:2: target: there is no job or indirect code J77: add it, or write off to clock off",
		},
	} {
		got := problemsOf(t, s, folder{bad.file: bad.text}.write(t))
		if len(got) != 1 || got[0].String() != bad.want {
			t.Errorf("%s gave %v, want %s", bad.file, got, bad.want)
		}
	}
}

// testHeldPolicies: amounts and days recorded in a currency and a zone would
// mean something else in another.
func testHeldPolicies(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	bare := folder{"policy.csv": "key,value\ncurrency,EUR\ntime_zone,Europe/Lisbon\n"}
	other := folder{"policy.csv": "key,value\ncurrency,USD\ntime_zone,America/Lima\n"}
	load(t, s, bare.write(t))
	load(t, s, other.write(t))
	load(t, s, bare.write(t))
	load(t, s, Tiny())
	wantProblems(t, problemsOf(t, s, other.write(t)),
		models.Problem{
			File: "policy.csv", Line: 2, Column: "value",
			Reason: "the yard's currency is EUR and cannot change, since reads or documents are recorded in it: put EUR back",
		},
		models.Problem{
			File: "policy.csv", Line: 3, Column: "value",
			Reason: "the yard's time_zone is Europe/Lisbon and cannot change, since reads or documents are recorded in it: put Europe/Lisbon back",
		},
	)
}
