package sim

import (
	"bytes"
	"crypto/sha256"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/labels"
)

// columns are what the contract says of each file; a dot marks an optional column.
const columns = `
policy key from· value
workers number name grade crew· shift signs_off·
rates worker from rate
grades grade from standard_rate
shifts shift weekday start end
breaks shift weekday· start end
holidays date name
crews crew name
indirects indirect name
stations station name kind place
stages stage name order
overheads stage from rate
hulls hull model name· price price_currency price_rate signed due·
processes process name· low· high· source·
jobs job hull· stage part· purpose change· rush· waste_factor· shares· process·
items item name stock_unit cost_method standard_price waste_mode waste_factor· kg_per_unit· aboard_share· role roll_width_m· sheet_m2· kg_per_litre· hardener· hardener_parts·
lots lot item received quantity unit· price currency· fx· landed· expires· supplier_batch·
invoices lot at price currency· fx· landed·
estimate job change· element key quantity waste· standard_rate plies·
changes change hull title price status agreed·
bought document date hull stage description amount currency· fx·
billing hull date description amount
budget hull stage kg
counts lot at quantity
hazards item signal· statement
cautions stage caution
corrections worker at kind target· who why
reads id station n at payload
codes kind key· payload
`

// references say which column must be found in which file's first column (or
// that named after the slash).
const references = `
workers.grade grades, workers.crew crews, workers.shift shifts, rates.worker workers, breaks.shift shifts, overheads.stage stages,
jobs.hull hulls, jobs.stage stages, jobs.change changes, jobs.process processes, items.hardener items, lots.item items, invoices.lot lots, estimate.job jobs,
estimate.change changes, changes.hull hulls, bought.hull hulls, bought.stage stages, billing.hull hulls, budget.hull hulls,
budget.stage stages, counts.lot lots, corrections.worker workers, corrections.who workers, hazards.item items, cautions.stage stages, reads.station stations`

// decimals are the columns that hold exact decimals.
var decimals = strings.Fields(`rate standard_rate price price_rate waste_factor standard_price kg_per_unit aboard_share roll_width_m sheet_m2 kg_per_litre
	hardener_parts low high quantity fx landed waste amount kg`)

// written writes a yard once and reads its files back: rows by file, each a map by column.
func written(t *testing.T, cfg Config) (map[string][]map[string]string, map[string][]string) {
	t.Helper()
	dir := t.TempDir()
	if err := Generate(cfg).WriteYard(dir); err != nil {
		t.Fatal(err)
	}
	files, heads := map[string][]map[string]string{}, map[string][]string{}
	paths, _ := filepath.Glob(filepath.Join(dir, "*.csv"))
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		name := strings.TrimSuffix(filepath.Base(path), ".csv")
		heads[name] = records[0]
		for _, r := range records[1:] {
			row := map[string]string{}
			for i, c := range records[0] {
				row[c] = r[i]
			}
			files[name] = append(files[name], row)
		}
	}
	return files, heads
}

// TestFilesObeyTheContract: headers, blanks, references, decimals, instants and payloads.
func TestFilesObeyTheContract(t *testing.T) {
	files, heads := written(t, Default())
	for line := range strings.Lines(strings.TrimSpace(columns)) {
		f := strings.Fields(line)
		for _, c := range f[1:] {
			name, optional := strings.CutSuffix(c, "·")
			if !slices.Contains(heads[f[0]], name) && !optional {
				t.Errorf("%s.csv lacks %s", f[0], name)
			}
			for n, row := range files[f[0]] {
				if !optional && row[name] == "" {
					t.Fatalf("%s.csv row %d: %s is blank", f[0], n+2, name)
				}
			}
		}
		for _, h := range heads[f[0]] {
			if !slices.Contains(f[1:], h) && !slices.Contains(f[1:], h+"·") {
				t.Errorf("%s.csv has the unknown column %s", f[0], h)
			}
		}
		delete(heads, f[0])
	}
	for name := range heads {
		t.Errorf("%s.csv is no yard file", name)
	}
	checkReferences(t, files)
	for name, rows := range files {
		for n, row := range rows {
			for c, v := range row {
				if slices.Contains(decimals, c) && v != "" {
					if q, err := costing.ParseDecimal(v); err != nil || q < 0 {
						t.Errorf("%s.csv row %d %s: %q, %v", name, n+2, c, v, err)
					}
				}
				if (c == "at" || c == "received") && v != "" {
					if _, err := costing.ParseInstant(v); err != nil {
						t.Errorf("%s.csv row %d: %v", name, n+2, err)
					}
				}
			}
		}
	}
	seen := map[string]bool{}
	for _, c := range files["codes"] {
		if err := labels.Check(c["payload"]); err != nil || seen[c["payload"]] {
			t.Errorf("code %v is bad or not the only one: %v", c, err)
		}
		seen[c["payload"]] = true
	}
}

func checkReferences(t *testing.T, files map[string][]map[string]string) {
	keys := map[string]map[string]bool{}
	first := map[string]string{
		"grades": "grade", "crews": "crew", "shifts": "shift", "workers": "number", "stages": "stage", "hulls": "hull", "changes": "change",
		"items": "item", "lots": "lot", "jobs": "job", "processes": "process", "stations": "station",
	}
	for file, column := range first {
		keys[file] = map[string]bool{}
		for _, row := range files[file] {
			keys[file][row[column]] = true
		}
	}
	for r := range strings.SplitSeq(references, ",") {
		from, to, _ := strings.Cut(strings.TrimSpace(r), " ")
		file, column, _ := strings.Cut(from, ".")
		for n, row := range files[file] {
			if v := row[column]; v != "" && !keys[to][v] {
				t.Errorf("%s.csv row %d: %s %q is not in %s.csv", file, n+2, column, v, to)
			}
		}
	}
	for n, row := range files["jobs"] {
		if (row["hull"] == "") == (row["shares"] == "") {
			t.Errorf("jobs.csv row %d has not just one of hull and shares", n+2)
		}
	}
}

// TestSameSeedSameBytes: twice the same, and another seed differs.
func TestSameSeedSameBytes(t *testing.T) {
	sum := func(seed uint64) [32]byte {
		cfg := Default()
		cfg.Seed, cfg.Months = seed, 2
		dir := t.TempDir()
		w := Generate(cfg)
		if err := w.WriteYard(dir); err != nil {
			t.Fatal(err)
		}
		if err := w.WriteTruth(filepath.Join(dir, "truth")); err != nil {
			t.Fatal(err)
		}
		h := sha256.New()
		entries, _ := os.ReadDir(dir)
		for _, e := range entries {
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			h.Write(text)
		}
		return [32]byte(h.Sum(nil))
	}
	if a, b := sum(7), sum(7); a != b {
		t.Error("the same seed wrote different bytes")
	}
	if sum(7) == sum(8) {
		t.Error("different seeds wrote the same bytes")
	}
}

// TestSizes: small and large yards are yards too.
func TestSizes(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {8, 2}, {130, 3}} {
		cfg := Default()
		cfg.People, cfg.Months = size[0], size[1]
		w, n := Generate(cfg), 0
		for range w.Reads() {
			n++
		}
		if n == 0 || len(w.Hulls) == 0 {
			t.Errorf("%d people, %d months: %d reads, %d hulls", size[0], size[1], n, len(w.Hulls))
		}
	}
}
