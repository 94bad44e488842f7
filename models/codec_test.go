package models

import (
	"bytes"
	"slices"
	"strings"
	"testing"
)

// FuzzRead: whatever text comes in, reading doesn't fall over, every problem
// has a place and a reason, and rows that were read are written and read back
// as the same rows.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"job,hull,stage,purpose\nJ1,H1,LAM,build\n",
		"\ufeffshares,stage,job,purpose,rush,waste_factor\r\nH1:01;H2:2,LAM,J1,rework,yes,0.50\r\n",
		"job,change,element,key,quantity,waste,standard_rate\nJ1,,labour,x,1,,2\nJ1,,labour,x,1.0,0.1,2\n",
		"lot,item,received,quantity,price,fx\nL1,I,2026-02-12T10:05:00.123456+01:00,1,2,\n",
		"shift,weekday,start,end\nday,,12:00,12:30\n",
		"id,station,n,at,payload\n6F1C2A34-0b5d-4e6f-8a90-1b2c3d4e5f60,S,1,2026-02-12T10:05:00Z,\"a\x1db\"\n",
		"kind,key,payload,issued,revoked\njob,J1,J0000019,,2026-02-12T10:05:00Z\n",
		"key,value\ncurrency,EUR\n",
		"crew,name\nC1,\"a \"\"b\"\"\"\n",
		"crew,name\nC1,\"a\n",
		"id,station,n,at,payload\n6f1c2a34-0b5d-4e6f-8a90-1b2c3d4e5f60,S,1,2026-02-12T10:05:00Z,\"a\r\r\n\"\n",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		readBack(t, policyFile, text)
		readBack(t, breaksFile, text)
		readBack(t, crewsFile, text)
		readBack(t, jobsFile, text)
		readBack(t, lotsFile, text)
		readBack(t, estimateFile, text)
		readBack(t, codesFile, text)
		readBack(t, readsFile, text)
	})
}

func readBack[R any](t *testing.T, f *file[R], text string) {
	var problems Problems
	rows, whole := f.read([]byte(text), &problems)
	for _, p := range problems.List {
		if p.File != f.name() || p.Reason == "" || p.Line < 1 {
			t.Errorf("%q gave the problem %+v", text, p)
		}
	}
	if !whole && len(problems.List) == 0 {
		t.Errorf("%q lost rows without a word", text)
	}
	rows = slices.DeleteFunc(rows, func(l *line[R]) bool { return l.bad })
	var out bytes.Buffer
	w, err := f.newWriter(&out)
	for i := 0; err == nil && i < len(rows); i++ {
		err = w.write(&rows[i].row)
	}
	if err == nil {
		err = w.close()
	}
	if err != nil {
		t.Fatal(err)
	}
	problems = Problems{}
	again, _ := f.read(out.Bytes(), &problems)
	if len(problems.List) > 0 || len(again) != len(rows) {
		t.Fatalf("%q was written as %q and read back with %v", text, out.String(), problems.List)
	}
	for i, l := range again {
		if !slices.Equal(withoutOrdinal(f, l.cells), withoutOrdinal(f, rows[i].cells)) {
			t.Errorf("%q was read back as %q", rows[i].cells, l.cells)
		}
	}
}

// withoutOrdinal leaves out what is numbered by the file's own rows: where a
// bad row is gone the numbers differ.
func withoutOrdinal[R any](f *file[R], cells []string) []string {
	var kept []string
	for i, c := range f.columns {
		if !c.hidden {
			kept = append(kept, cells[i])
		}
	}
	return kept
}

// TestColumnOrder: written files have the columns of the contract, in its order.
func TestColumnOrder(t *testing.T) {
	for _, f := range []struct {
		got  []string
		want string
	}{
		{policyFile.names(), "key,from,value"},
		{workersFile.names(), "number,name,grade,crew,shift,signs_off"},
		{ratesFile.names(), "worker,from,rate"},
		{gradesFile.names(), "grade,from,standard_rate"},
		{shiftsFile.names(), "shift,weekday,start,end"},
		{breaksFile.names(), "shift,weekday,start,end"},
		{holidaysFile.names(), "date,name"},
		{crewsFile.names(), "crew,name"},
		{indirectsFile.names(), "indirect,name"},
		{stationsFile.names(), "station,name,kind,place"},
		{stagesFile.names(), "stage,name,order"},
		{overheadsFile.names(), "stage,from,rate"},
		{hullsFile.names(), "hull,model,name,price,price_currency,price_rate,signed,due"},
		{jobsFile.names(), "job,hull,stage,part,purpose,change,rush,waste_factor,shares"},
		{itemsFile.names(), "item,name,stock_unit,cost_method,standard_price,waste_mode,waste_factor,kg_per_unit,aboard_share,role," +
			"roll_width_m,sheet_m2,kg_per_litre,hardener,hardener_parts"},
		{lotsFile.names(), "lot,item,received,quantity,unit,price,currency,fx,landed,expires,supplier_batch,awaits_invoice"},
		{invoicesFile.names(), "lot,at,price,currency,fx,landed"},
		{estimateFile.names(), "job,change,element,key,quantity,waste,standard_rate"},
		{changesFile.names(), "change,hull,title,price,status,agreed"},
		{boughtFile.names(), "document,date,hull,stage,description,amount,currency,fx,purpose"},
		{billingFile.names(), "hull,date,description,amount"},
		{budgetFile.names(), "hull,stage,kg"},
		{countsFile.names(), "lot,at,quantity"},
		{correctionsFile.names(), "worker,at,kind,target,who,why"},
		{readsFile.names(), "id,station,n,at,payload"},
		{codesFile.names(), "kind,key,payload,issued,revoked"},
		{wasteFactorsFile.names(), "item,from,factor"},
	} {
		// What has been added stands after what other programs rely on.
		if got := strings.Join(f.got, ","); got != f.want && !strings.HasPrefix(got, f.want+",") {
			t.Errorf("columns %s, want them to begin with %s", got, f.want)
		}
	}
}
