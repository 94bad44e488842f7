package conformance

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/revise"
	"hulltally/models"
)

var estimator = models.LoadOptions{Now: Now + 1000, Who: "estimator", Did: "estimated", Source: "test"}

// testRevisions: a revision is kept as it was, signed once, and its figures are
// those of the books from then on.
func testRevisions(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	day, err := costing.ParseDate("2026-03-10")
	require.NoError(t, err)
	r := &revise.Revision{
		Hull: "H7", Model: "Brisa 34", Basis: "typed", Day: day, Price: 90_000_000_000, PriceCurrency: "EUR", PriceRate: 1_000_000,
		Lines: []revise.Line{
			{Job: "H7-1", Stage: "LAM", Part: "shell", Purpose: costing.Build, Element: costing.Labour, Key: "laminator", Quantity: 100_333_000, Rate: 28_515_000},
			{Job: "H7-1", Stage: "LAM", Part: "shell", Purpose: costing.Build, Element: costing.Material, Key: "BIAX", Quantity: 190_100_000, Waste: 120_000, Rate: 4_200_000},
			{Job: "H7-2", Stage: "FIT", Purpose: costing.Build, Element: costing.BoughtIn, Key: "Engine", Quantity: 1_000_000, Rate: 9_660_010_000},
		},
	}
	n, err := s.KeepRevision(t.Context(), r, estimator)
	require.NoError(t, err)
	r.Lines[0].Quantity += 5_000_000
	n2, err := s.KeepRevision(t.Context(), r, estimator)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2}, []int{n, n2})
	checked(t, "kept", s)

	var problems *models.Problems
	refused := func(what, file, text string) {
		t.Helper()
		before := dump(t, s)
		_, err := s.Enter(t.Context(), map[string][]byte{file: []byte(text)}, estimator)
		require.ErrorAs(t, err, &problems, what)
		assert.Len(t, problems.List, 1, what)
		assert.Regexp(t, "enter|number|add it|put|let new", problems.List[0].Reason, "%s says the way out", what)
		sameFolder(t, dump(t, s), before)
	}
	lineHead, _, _ := strings.Cut(dump(t, s)["revision_lines.csv"], "\n")
	kept := lineWith(t, dump(t, s)["revision_lines.csv"], "H7,2,1,")
	refused("a changed line", "revision_lines.csv", lineHead+"\n"+strings.Replace(kept, "105.333", "99", 1)+"\n")
	refused("a line more", "revision_lines.csv", lineHead+"\n"+strings.Replace(kept, "H7,2,1,", "H7,2,9,", 1)+"\n")
	refused("a gap", "revisions.csv", "hull,revision,basis,day,price,price_currency,price_rate,made,who\nH7,4,typed,2026-03-10,1,EUR,1,2026-03-10T09:00:00Z,x\n")

	sign := models.Signing{Hull: "H7", Revision: 2, Name: "Marrow II", Signed: "2026-03-09", Due: "2027-01-31"}
	require.NoError(t, s.Sign(t.Context(), sign, estimator))
	checked(t, "signed", s)
	assert.Equal(t, models.Conflict, models.KindOf(s.Sign(t.Context(), sign, estimator)), "signed once")

	y := yardOf(t, s)
	r.Day, r.Hull = y.Hulls["H7"].Signed, "H7"
	priced, err := revise.Price(y, r)
	require.NoError(t, err)
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(t.Context(), Now)
		if err != nil {
			return err
		}
		cost, err := f.Cost()
		for i := range cost.Margins {
			if m := &cost.Margins[i]; m.Hull == "H7" {
				assert.Equal(t, priced.Estimate, m.Estimate)
				assert.Equal(t, priced.Margin.Margin, m.Margin, "signing moves no figure")
			}
		}
		return err
	}))
	base := lineWith(t, dump(t, s)["baselines.csv"], "H7,")
	assert.Equal(t, "H7,2,2026-03-09,"+costing.FormatDecimal(int64(priced.Estimate)*10_000)+",estimator", base)

	const head = "job,element,key,quantity,standard_rate\n"
	refused("a line changed after signing", "estimate.csv", head+"H7-1,labour,laminator,99,28.515\n")
	refused("a line added after signing", "estimate.csv", head+"H7-2,labour,fitter,9,31\n")
	refused("the contract", "hulls.csv", "hull,model,price,price_currency,price_rate,signed\nH7,Brisa 34,91000,EUR,1,2026-03-09\n")
	refused("a job moved", "jobs.csv", "job,hull,stage,part,purpose\nH7-1,H7,FIT,shell,build\n")
	refused("an absorption rate of old", "overheads.csv", "stage,from,rate\nLAM,2026-02-01,99\n")
	refused("the baseline", "baselines.csv", "hull,revision,frozen,cost,who\nH7,1,2026-03-09,1,x\n")
	for _, file := range []string{"estimate.csv", "hulls.csv", "baselines.csv", "revisions.csv", "revision_lines.csv"} {
		_, err := s.Enter(t.Context(), map[string][]byte{file: []byte(dump(t, s)[file])}, estimator)
		require.NoError(t, err, "the same again is no change: %s", file)
	}
	// The way out.
	_, err = s.Enter(t.Context(), map[string][]byte{
		"changes.csv":   []byte("change,hull,title,price,status,agreed\nX7,H7,More,500,agreed,2026-03-10\n"),
		"estimate.csv":  []byte("job,change,element,key,quantity,standard_rate\nH7-1,X7,labour,laminator,4,28.5\n"),
		"overheads.csv": []byte("stage,from,rate\nLAM,2026-03-10,99\n"),
	}, estimator)
	require.NoError(t, err)

	n, err = s.Freeze(t.Context(), "H1", estimator) // one that came from files
	require.NoError(t, err)
	assert.Equal(t, 1, n)
	refused("a loaded hull, frozen", "estimate.csv", head+"J1,labour,laminator,1,28.5\n")

	other := open(t)
	dir := folder(dump(t, s)).write(t)
	load(t, other, dir)
	sameFolder(t, dump(t, other), dump(t, s))
}

// testTools: a tool gathers cost as a hull does, and has no contract.
func testTools(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	enter := func(file, text string) error {
		_, err := s.Enter(t.Context(), map[string][]byte{file: []byte(text)}, estimator)
		return err
	}
	require.NoError(t, enter("jobs.csv", "job,hull,stage,part,purpose\nM34-1,M34,LAM,mould,build\n"))
	require.NoError(t, enter("bought.csv", "document,date,hull,stage,description,amount\nD-1,2026-03-02,M34,LAM,Milled plug,12000.01\n"))
	require.NoError(t, enter("estimate.csv", "job,element,key,quantity,standard_rate\nM34-1,bought-in,Milled plug,1,13000\n"))
	checked(t, "a tool", s)
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		f, err := tx.Figures(t.Context(), Now)
		if err != nil {
			return err
		}
		cost, err := f.Cost()
		if err != nil {
			return err
		}
		for i := range cost.Margins {
			assert.NotEqual(t, "M34", cost.Margins[i].Hull, "a tool has no margin")
		}
		rows, err := cost.Tools()
		require.Len(t, rows, 1)
		assert.Equal(t, []costing.Money{1_300_000, 1_200_001, 1_300_000}, []costing.Money{rows[0].Estimate, rows[0].Actual, rows[0].AtCompletion})
		assert.Equal(t, costing.Money(300_000), rows[0].Now.Charged, "a quarter; the odd cent goes to the two uses that nobody is named for")
		assert.Equal(t, costing.Money(900_001), rows[0].Now.Open())
		return err
	}))
	var problems *models.Problems
	for file, text := range map[string]string{
		"tooling.csv":      "tool,name,kind,begun,planned_uses\nH1,x,mould,2026-01-01,1\n",
		"hulls.csv":        "hull,model,price,price_currency,price_rate,signed\nM34,x,1,EUR,1,2026-01-01\n",
		"tool_uses.csv":    "tool,hull,uses\nM34,NONE,1\n",
		"jobs.csv":         "job,hull,stage,part,purpose\nZ,NONE,LAM,,build\n",
		"predecessors.csv": "stage,after\nLAM,FIT\n", // FIT comes after LAM already
	} {
		require.ErrorAs(t, enter(file, text), &problems, file)
		assert.Len(t, problems.List, 1, file)
	}
}

// testChangeMoves: the order and its history are one, and nothing is skipped.
func testChangeMoves(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	opts := estimator
	move := func(m models.ChangeMove) error {
		opts.Now += 60_000
		return s.MoveChange(t.Context(), m, opts)
	}
	require.NoError(t, move(models.ChangeMove{Change: "X9", Hull: "H2", Title: "Thruster", Status: "asked", Said: "the customer", Why: "asked on the quay"}))
	require.NoError(t, move(models.ChangeMove{Change: "X9", Status: "quoted", Price: 18_500_000_000, Days: 9, Said: "the office", Why: "letter of today"}))
	require.NoError(t, move(models.ChangeMove{Change: "X9", Status: "agreed", Agreed: "2026-03-10", Price: 18_000_000_000, Days: 7, Said: "the customer", Why: "signed"}))
	require.Error(t, move(models.ChangeMove{Change: "X9", Hull: "H2", Title: "again", Status: "asked", Said: "x", Why: "y"}))
	require.Error(t, move(models.ChangeMove{Change: "X8", Status: "asked", Said: "x", Why: "y"}))
	var problems *models.Problems
	require.ErrorAs(t, move(models.ChangeMove{Change: "X9", Status: "perhaps", Said: "x", Why: "y"}), &problems)
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		steps, err := tx.ChangeSteps(t.Context(), "X9")
		require.Len(t, steps, 3)
		assert.Equal(t, []string{"asked", "quoted", "agreed"}, []string{steps[0].Status, steps[1].Status, steps[2].Status})
		assert.Equal(t, 7, steps[2].Days)
		return err
	}))
	c := yardOf(t, s).Changes["X9"]
	assert.Equal(t, []any{"H2", "Thruster", int64(18_000_000_000), costing.Agreed}, []any{c.Hull, c.Title, c.Price, c.Status})
	checked(t, "moved", s)
}

// testReadyStages: the list enters an empty yard once.
func testReadyStages(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, folder{"policy.csv": "key,value\nname,Y\ncurrency,EUR\ntime_zone,Europe/Lisbon\n"}.write(t))
	require.NoError(t, s.EnterReadyStages(t.Context(), estimator))
	assert.Equal(t, models.Conflict, models.KindOf(s.EnterReadyStages(t.Context(), estimator)))
	y := yardOf(t, s)
	assert.Len(t, y.Stages, len(models.ReadyStages))
	assert.Equal(t, []string{"FURN", "FAIRX", "SYS"}, y.Stages["DETAIL"].After)
	checked(t, "stages", s)
}
