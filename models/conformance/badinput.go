package conformance

import (
	"strings"
	"testing"

	"hulltally/models"
)

// badInputs are texts put in for a file of the tiny yard, and the one problem
// that must be found, as file:line: column: reason.
var badInputs = []struct{ file, text, want string }{
	// The file as a whole.
	{"crews.csv", "crew,name,colour\nC1,A,red\nC2,B,blue\n", `crews.csv:1: colour: is no column of this file: take it away; the columns are crew,name`},
	{"crews.csv", "crew\nC1\nC2\n", `crews.csv:1: name: the column is missing: add it`},
	{"crews.csv", "crew,name,name\nC1,A,A\nC2,B,B\n", `crews.csv:1: name: the column is there twice: take one away`},
	{"crews.csv", "\n", `crews.csv:1: has no header: its first line names the columns, such as crew,name`},
	{"crews.csv", "crew,name\nC1,A\nC2\n", `crews.csv:3: has 1 cells where the header has 2: give every column, quote cells that hold a comma`},
	{"crews.csv", "crew,name\nC1,A\nC2,\"B\"x\n", `crews.csv:3: cannot be read (extraneous or missing " in quoted-field): put cells that hold a quote or a comma in quotes, and double the quotes within`},
	{"crews.csv", "crew,name\nC1,A\nC2,B\xff\n", `crews.csv:3: is not UTF-8: save the file as UTF-8`},
	{"crew.csv", "crew,name\n", `crew.csv: is not the name of a yard file: correct the name or move the file away`},
	{"policy.csv", "\n", `policy.csv:1: has no header: its first line names the columns, such as key,from,value`},
	// Cells.
	{"crews.csv", "crew,name\nC1,A\nC2,\n", `crews.csv:3: name: is blank: give a value`},
	{"crews.csv", "crew,name\nC1,A\nC2,B\n C3,C\n", `crews.csv:4: crew: " C3" has spaces around it: take them away`},
	{"crews.csv", "crew,name\nC1,A\nC2,\"B\nC\"\n", `crews.csv:3: name: holds a line break, a tab or another control character: take it away`},
	{"holidays.csv", "date,name\n2026-02-30,x\n", `holidays.csv:2: date: "2026-02-30" is not a date such as 2026-03-01`},
	{"holidays.csv", "date,name\n0226-02-03,x\n", `holidays.csv:2: date: 0226-02-03 is not in the years 1900 to 2200`},
	{"counts.csv", "lot,at,quantity\nL3,2026-03-31 16:00,1\n", `counts.csv:2: at: "2026-03-31 16:00" is not an instant such as 2026-03-01T07:00:00+02:00`},
	{"counts.csv", "lot,at,quantity\nL3,2026-03-31T16:00:00Z,1.2345678\n", `counts.csv:2: quantity: "1.2345678" has more than 6 decimal places`},
	{"counts.csv", "lot,at,quantity\nL3,2026-03-31T16:00:00Z,-1\n", `counts.csv:2: quantity: -1 is below 0`},
	{"counts.csv", "lot,at,quantity\nL3,2026-03-31T16:00:00Z,\"1,5\"\n", `counts.csv:2: quantity: "1,5" is not a decimal number such as 12.5`},
	{"stages.csv", "stage,name,order\nLAM,a,1.5\nFIT,b,2\n", `stages.csv:2: order: "1.5" is not a whole number from -1000000 to 1000000`},
	{"shifts.csv", "shift,weekday,start,end\nday,1,7:00,16:00\nnight,1,22:00,06:00\n", `shifts.csv:2: start: "7:00" is not a time of day such as 07:30`},
	{"shifts.csv", "shift,weekday,start,end\nday,0,07:00,16:00\nnight,1,22:00,06:00\n", `shifts.csv:2: weekday: "0" is not a whole number from 1 to 7`},
	{"breaks.csv", "shift,start,end\nday,12:00,12:00\n", `breaks.csv:2: end: is the break's start: give the time it ends`},
	{"stations.csv", "station,name,kind,place\nS,s,clocks,ashore\n", `stations.csv:2: kind: "clocks" is not one of clock, stores`},
	{"reads.csv", "id,station,n,at,payload\n17,GATE,1,2026-03-02T07:00:00Z,X\n", `reads.csv:2: id: "17" is not a UUID such as 6f1c2a34-0b5d-4e6f-8a90-1b2c3d4e5f60`},
	// Keys given twice.
	{"holidays.csv", "date,name\n2026-04-25,a\n2026-05-01,b\n2026-04-25,c\n", `holidays.csv:4: date: 2026-04-25 is on line 2 too: keep one of the two lines`},
	{"breaks.csv", "shift,weekday,start,end\nday,,12:00,12:30\nday,,12:00,12:40\n", `breaks.csv:3: shift,weekday,start: day//12:00 is on line 2 too: keep one of the two lines`},
	{"estimate.csv", "job,element,key,quantity,standard_rate\nJ1,labour,fitter,1,2\nJ1,labour,fitter,2,2\nJ1,labour,fitter,1.0,2\n", `estimate.csv:4: is the same as line 2 in every column: take one of them away`},
	// Policies.
	{"policy.csv", policies("colour,,red"), `policy.csv:4: key: "colour" is no policy: choose one of clock_rounding, currency, daily_ordinary, double_multiplier, grace, ` +
		"installed_goods, max_booking, name, no_shift_cap, on_cost, overtime_multiplier, premium_on_cost, recount_over, revenue, rework_in_progress, scan_gap, time_zone, weekly_ordinary"},
	{"policy.csv", policies("name,2026-01-01,x"), `policy.csv:4: from: must be blank: name holds for good`},
	{"policy.csv", policies("scan_gap,,soon"), `policy.csv:4: value: "soon" is not a duration in whole seconds such as 30s or 14h`},
	{"policy.csv", policies("grace,,-5m"), `policy.csv:4: value: -5m is not from 0s to 24h0m0s`},
	{"policy.csv", policies("on_cost,,-0.1"), `policy.csv:4: value: -0.1 is not from 0 to 100`},
	{"policy.csv", policies("double_multiplier,,0.5"), `policy.csv:4: value: 0.5 is not from 1 to 100`},
	{"policy.csv", policies("clock_rounding,,10m"), `policy.csv:4: value: "10m" is not one of none, 5m, 6m, 15m`},
	{"policy.csv", policies("premium_on_cost,,true"), `policy.csv:4: value: "true" is neither yes nor no`},
	{"policy.csv", "key,value\ncurrency,EUR\ntime_zone,Mars/Olympus\n", `policy.csv:3: value: "Mars/Olympus" is not an IANA time zone such as Europe/Lisbon`},
	{"policy.csv", "key,value\ncurrency,EURO\ntime_zone,Europe/Lisbon\n", `policy.csv:2: value: "EURO" is not an ISO 4217 currency code such as EUR`},
	{"policy.csv", "key,value\ncurrency,EUR\n", `policy.csv: key: there is no time_zone: a new database needs a row for it`},
	// References.
	{"rates.csv", "worker,from,rate\n109,2026-01-01,1\n", `rates.csv:2: worker: there is no worker 109: add it to workers.csv or correct the cell`},
	{"workers.csv", workers("104,A,fitter,C7,day"), `workers.csv:5: crew: there is no crew C7: add it to crews.csv or correct the cell`},
	{"workers.csv", workers("104,A,fitter,,late"), `workers.csv:5: shift: there is no shift late: add it to shifts.csv or correct the cell`},
	{"overheads.csv", "stage,from,rate\nRIG,2026-01-01,1\n", `overheads.csv:2: stage: there is no stage RIG: add it to stages.csv or correct the cell`},
	{"budget.csv", "hull,stage,kg\nH9,LAM,1\n", `budget.csv:2: hull: there is no hull H9: add it to hulls.csv or correct the cell`},
	{"invoices.csv", "lot,at,price\nL9,2026-03-01T00:00:00Z,1\n", `invoices.csv:2: lot: there is no lot L9: add it to lots.csv or correct the cell`},
	{"estimate.csv", "job,element,key,quantity,standard_rate\nJ9,labour,fitter,1,2\n", `estimate.csv:2: job: there is no job J9: add it to jobs.csv or correct the cell`},
	{"estimate.csv", "job,element,key,quantity,standard_rate\nJ1,material,GOLD,1,2\n", `estimate.csv:2: key: there is no item GOLD: add it to items.csv or correct the cell`},
	{"estimate.csv", "job,change,element,key,quantity,standard_rate\nJ1,X9,labour,fitter,1,2\n", `estimate.csv:2: change: there is no change X9: add it to changes.csv or correct the cell`},
	{"estimate.csv", "job,change,element,key,quantity,standard_rate\nJ1,X2,labour,fitter,1,2\n", `estimate.csv:2: change: X2 is a change of hull H2, which the job is not for: correct one of them`},
	{"corrections.csv", "worker,at,kind,target,who,why\n101,2026-03-02T16:00:00Z,add,NAP,I,x\n", `corrections.csv:2: target: there is no job or indirect code NAP: add it, or write off to clock off`},
	{"corrections.csv", "worker,at,kind,who,why\n101,2026-03-02T16:00:00Z,add,I,x\n", `corrections.csv:2: target: is blank: name the job, the indirect code or off`},
	// Hulls and jobs.
	{"hulls.csv", hulls("H3,B,,1,EUR,1.1,2026-01-01,"), `hulls.csv:4: price_rate: is not 1, though the price is in EUR: correct one of them`},
	{"hulls.csv", hulls("H3,B,,1,USD,0,2026-01-01,"), `hulls.csv:4: price_rate: 0 is not above 0`},
	{"hulls.csv", hulls("H3,B,,1000000000001,USD,1,2026-01-01,"), `hulls.csv:4: price: 1000000000001 is too large: the limit is 1000000000000`},
	{"hulls.csv", hulls("H:3,B,,1,USD,1,2026-01-01,"), `hulls.csv:4: hull: "H:3" holds : or ; which lists of shares need: name the hull without`},
	{"jobs.csv", jobs("J6,,LAM,,build,,,,"), `jobs.csv:7: hull: is blank and so is shares: give one of them`},
	{"jobs.csv", jobs("J6,H1,LAM,,build,,,,H1:1"), `jobs.csv:7: shares: is given and so is hull: give one of them`},
	{"jobs.csv", jobs("J6,,LAM,,build,,,,H1:1;H2:0"), `jobs.csv:7: shares: "H2:0" is not a hull and a whole weight above 0, such as H1:1;H2:1`},
	{"jobs.csv", jobs("J6,,LAM,,build,,,,H1:1;H1:2"), `jobs.csv:7: shares: names hull H1 twice: add its weights up`},
	{"jobs.csv", jobs("J6,,LAM,,build,,,,H1:1;H8:2"), `jobs.csv:7: shares: there is no hull H8: add it to hulls.csv or correct the cell`},
	{"jobs.csv", jobs("J6,H1,LAM,,build,,,-0.1,"), `jobs.csv:7: waste_factor: -0.1 is below 0`},
	{"jobs.csv", jobs("off,H1,LAM,,build,,,,"), `jobs.csv:7: job: off means clocking off: take another key`},
	{"jobs.csv", jobs("J6,H1,LAM,,change,X2,,,"), `jobs.csv:7: change: X2 is a change of hull H2, which the job is not for: correct one of them`},
	// Materials.
	{"items.csv", items("GEL,g,HUR,lot,1,measured,other,,"), `items.csv:8: stock_unit: "HUR" is no unit to keep stock in: take one of KGM, MTK, MTR, LTR, C62`},
	{"items.csv", items("GEL,g,KGM,lot,-1,measured,other,,"), `items.csv:8: standard_price: -1 is below 0`},
	{"items.csv", items("GEL,g,KGM,lot,1,measured,other,HARD,"), `items.csv:8: hardener_parts: is blank: give the hardener's parts by weight per 100 parts`},
	{"items.csv", items("GEL,g,KGM,lot,1,measured,other,NONE,2"), `items.csv:8: hardener: there is no item NONE: add it to items.csv or correct the cell`},
	{"lots.csv", lots("L7,FILM,2026-03-01T00:00:00Z,0,,1,,"), `lots.csv:8: quantity: 0 is not above 0`},
	{"lots.csv", lots("L7,FILM,2026-03-01T00:00:00Z,1,BOX,1,,"), `lots.csv:8: unit: "BOX" is not a known unit code (KGM, MTK, MTR, LTR, C62)`},
	{"lots.csv", lots("L7,TAPE,2026-03-01T00:00:00Z,1,MTR,1,,"), `lots.csv:8: unit: item TAPE has no conversion from MTR to C62: give the item's data for it, or the quantity in C62`},
	{"lots.csv", lots("L7,FILM,2026-03-01T00:00:00Z,1,,1,USD,"), `lots.csv:8: fx: is blank: give EUR per USD, or a rate of that day in fx.csv`},
	{"lots.csv", lots("L7,FILM,2026-03-01T00:00:00Z,1,,1,,1.1"), `lots.csv:8: fx: is not 1, though the amount is in EUR: leave it blank or name the currency`},
	{"lots.csv", lots("L7,FILM,2026-03-01T00:00:00Z,1,,900000000000,USD,2"), `lots.csv:8: price: comes to more than 1000000000000 EUR`},
	// Codes.
	{"codes.csv", "kind,key,payload\nworker,101,P3F7K2E3\n", `codes.csv:2: payload: is no code of ours: "P3F7K2E3": the check character is wrong: scan or type it again`},
	{"codes.csv", "kind,key,payload\njob,J1,P3F7K2E2\n", `codes.csv:2: payload: P3F7K2E2 is the code of a badge, not of a job: correct one of them`},
	{"codes.csv", "kind,key,payload\nworker,109,P3F7K2E2\n", `codes.csv:2: key: there is no worker 109: add it to workers.csv or correct the cell`},
	{"codes.csv", "kind,key,payload\nprogress,30,K000001T\n", `codes.csv:2: key: there is no progress card "30": progress cards have the keys 25, 50 and 75, the others none`},
	{"codes.csv", "kind,key,payload\nworker,101,P3F7K2E2\nworker,101,P3F7K2F0\n", `codes.csv:3: payload: worker 101 has the code P3F7K2E2 already: revoke one of the two`},
}

// These put one more row under a file of the tiny yard that others refer to.

func policies(row string) string {
	return "key,from,value\ncurrency,,EUR\ntime_zone,,Europe/Lisbon\n" + row + "\n"
}

func workers(row string) string {
	return "number,name,grade,crew,shift\n101,A,fitter,,day\n102,B,fitter,,day\n103,C,fitter,,day\n" + row + "\n"
}

func hulls(row string) string {
	return "hull,model,name,price,price_currency,price_rate,signed,due\n" +
		"H1,B,,1,EUR,1,2026-01-01,\nH2,B,,1,EUR,1,2026-01-01,\n" + row + "\n"
}

func jobs(row string) string {
	return "job,hull,stage,part,purpose,change,rush,waste_factor,shares\n" +
		"J1,H1,LAM,,build,,,,\nJ2,,LAM,,build,,,,H1:2;H2:1\nJ3,H1,FIT,,change,X1,,,\n" +
		"J4,H2,LAM,,rework,,,,\nJ5,H2,FIT,,warranty,,,,\n" + row + "\n"
}

func items(row string) string {
	return "item,name,stock_unit,cost_method,standard_price,waste_mode,role,hardener,hardener_parts,roll_width_m,sheet_m2,kg_per_litre\n" +
		"BIAX,b,MTK,lot,1,measured,fibre,,,1.27,,\nRES,r,KGM,average,1,factored,resin,HARD,28,,,1.1\n" +
		"HARD,h,KGM,average,1,factored,hardener,,,,,\nCORE,c,MTK,lot,1,measured,core,,,,2.4,\n" +
		"FILM,f,MTK,lot,1,measured,consumable,,,,,\nTAPE,t,C62,lot,1,factored,other,,,,,\n" + row + ",,,\n"
}

func lots(row string) string {
	text := "lot,item,received,quantity,unit,price,currency,fx\n"
	for i, item := range []string{"BIAX", "RES", "HARD", "CORE", "FILM", "TAPE"} {
		text += "L" + string(rune('1'+i)) + "," + item + ",2026-02-10T00:00:00Z,100,,500,,\n"
	}
	return text + row + "\n"
}

// testProblems: every bad input gives its one problem, in its place.
func testProblems(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	tiny := readFolder(t, Tiny())
	for _, bad := range badInputs {
		got := problemsOf(t, s, tiny.with("reads.csv", "", bad.file, bad.text).write(t))
		var lines []string
		for _, p := range got {
			lines = append(lines, p.String())
		}
		if strings.Join(lines, "\n") != bad.want {
			t.Errorf("%s with\n%s\ngave\n%s\nwant\n%s", bad.file, bad.text, strings.Join(lines, "\n"), bad.want)
		}
	}
	wantProblems(t, problemsOf(t, s, tiny.with("policy.csv", "").write(t)), models.Problem{
		File: "policy.csv", Reason: "missing file: a new database needs it, with currency and time_zone",
	})
	wantProblems(t, problemsOf(t, s, "/nowhere/at/all"), models.Problem{
		File: "/nowhere/at/all", Reason: "there is no such folder: name the folder of the yard files",
	})
	wantProblems(t, problemsOf(t, s, tiny.with(
		"rates.csv", "worker,from,rate\n101,soon,x\n109,2026-01-01,1\n",
		"crews.csv", "crew,name\nC2,\nC1,\n",
	).write(t)),
		models.Problem{File: "crews.csv", Line: 2, Column: "name", Reason: "is blank: give a value"},
		models.Problem{File: "crews.csv", Line: 3, Column: "name", Reason: "is blank: give a value"},
		models.Problem{File: "rates.csv", Line: 2, Column: "from", Reason: `"soon" is not a date such as 2026-03-01`},
		models.Problem{File: "rates.csv", Line: 2, Column: "rate", Reason: `"x" is not a decimal number such as 12.5`},
		models.Problem{File: "rates.csv", Line: 3, Column: "worker", Reason: "there is no worker 109: add it to workers.csv or correct the cell"},
	)
	if v := version(t, s); v != 0 {
		t.Errorf("refused files left version %d", v)
	}
}
