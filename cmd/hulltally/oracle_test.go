package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"hulltally/costing/costingtest"
	"hulltally/models/conformance"
)

// The engine is held against a second implementation of the rules, over small
// nasty yards of many seeds. HULLTALLY_TEST_SEEDS asks for more of them, as
// "200" or, to repeat one, as "17-17".
func TestReportsAgreeWithTheOracle(t *testing.T) {
	first, last := seeds(t, 40)
	for seed := first; seed <= last; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			holdAgainstOracle(t, seed, "sqlite:"+filepath.Join(t.TempDir(), "yard.db"))
		})
	}
}

func seeds(t *testing.T, usual uint64) (first, last uint64) {
	t.Helper()
	asked := os.Getenv("HULLTALLY_TEST_SEEDS")
	if asked == "" {
		if testing.Short() { // under the race detector
			usual = max(1, usual/8)
		}
		return 1, usual
	}
	from, to, ranged := strings.Cut(asked, "-")
	if !ranged {
		from, to = "1", asked
	}
	first, err := strconv.ParseUint(from, 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	if last, err = strconv.ParseUint(to, 10, 64); err != nil {
		t.Fatal(err)
	}
	return first, last
}

// yardRun is a yard in a database of its own.
type yardRun struct {
	t        *testing.T
	database string
	now      time.Time
}

// do runs a command that has to succeed, and gives what it printed.
func (y yardRun) do(args ...string) []byte {
	y.t.Helper()
	var out, errs bytes.Buffer
	e := env{strings.NewReader(""), &out, &errs, func() time.Time { return y.now }}
	if code := run(y.t.Context(), append([]string{"--database", y.database}, args...), e); code != done {
		y.t.Fatalf("hulltally %s: exit %d\n%s%s", strings.Join(args, " "), code, out.Bytes(), errs.Bytes())
	}
	return out.Bytes()
}

func holdAgainstOracle(t *testing.T, seed uint64, database string) {
	yard := costingtest.NewYard(seed)
	dir := t.TempDir()
	y := yardRun{t, database, yard.End()}
	write := func(all bool) {
		if err := yard.Write(dir, all); err != nil {
			t.Fatal(err)
		}
	}
	write(false)
	y.do("load", dir)
	codes := y.do("codes", "--as", "csv")
	reads := yard.Reads(codes)
	parts := yard.Shuffled(3)
	for i, part := range parts {
		if i == 1 { // the office catches up while the floor goes on
			write(true)
			y.do("load", dir)
		}
		file := filepath.Join(t.TempDir(), "part.csv")
		if err := os.WriteFile(file, part, 0o600); err != nil {
			t.Fatal(err)
		}
		y.do("scan", file)
	}
	y.do("rebuild", "--check")

	oracle, err := costingtest.Open(dir, codes, reads)
	if err != nil {
		t.Fatal(err)
	}
	start := yard.Start()
	for _, at := range []time.Time{
		{}, start.Add(76*time.Hour + 12345*time.Second), start.AddDate(0, 0, 6), yard.SomeRead(), yard.SomeRead().Add(-time.Second),
	} {
		c := comparison{t: t, oracle: oracle, at: y.now}
		asked := []string{"--as", "json"}
		if !at.IsZero() {
			c.at = at
			asked = append(asked, "--at", at.UTC().Format(time.RFC3339))
		}
		report := func(name string) rows {
			var answer struct{ Rows rows }
			decoder := json.NewDecoder(bytes.NewReader(y.do(append([]string{"report", name}, asked...)...)))
			decoder.UseNumber()
			if err := decoder.Decode(&answer); err != nil {
				t.Fatal(err)
			}
			return answer.Rows
		}
		c.cost(report("cost"))
		c.margin(report("margin"))
		c.hours(report("hours"))
		c.stock(report("stock"))
		c.mass(report("mass"))
	}
}

// rows is what a report answered.
type rows []map[string]any

// key spells the columns of a row that name it.
func key(row map[string]any, columns ...string) string {
	parts := []string{}
	for _, c := range columns {
		parts = append(parts, fmt.Sprint(row[c]))
	}
	return strings.Join(parts, "/")
}

// number reads a decimal of an answer; null is zero.
func number(v any) *big.Rat {
	if v == nil {
		return new(big.Rat)
	}
	r, ok := new(big.Rat).SetString(fmt.Sprint(v))
	if !ok {
		return big.NewRat(-999999999, 1)
	}
	return r
}

// The same on PostgreSQL, where one is required: without it the test fails.
func TestReportsAgreeWithTheOracleOnPostgres(t *testing.T) {
	first, last := seeds(t, 8)
	for seed := first; seed <= last; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			holdAgainstOracle(t, seed, conformance.PostgresURL(t))
		})
	}
}
