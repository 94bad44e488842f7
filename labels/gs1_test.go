package labels

import (
	"errors"
	"strings"
	"testing"

	"hulltally/costing"
)

var in2026 = GS1Options{Today: costing.NewDate(2026, 3, 1)}

// Examples of the GS1 General Specifications: element strings, the modulo 10
// check digit (SSCC 376104250021234569), dates, decimals.
func TestGS1Examples(t *testing.T) {
	for raw, want := range map[string]string{
		"(01)12345678901231(10)12345":                                "(01)12345678901231(10)12345",
		"]C1011234567890123110" + "12345":                            "(01)12345678901231(10)12345",
		"]d20112345678901231" + "\x1d" + "1012345":                   "(01)12345678901231(10)12345", // superfluous FNC1
		"\x1d0112345678901231" + "1012345\x1d21A-7\r\n":              "(01)12345678901231(10)12345(21)A-7",
		"00376104250021234569":                                       "(00)376104250021234569",
		"0212345678901231" + "3724" + "\x1d400PO-77":                 "(02)12345678901231(37)24(400)PO-77",
		"3102001723" + "17260400" + "10B7":                           "(3102)001723(17)260400(10)B7",
		"241XY/9\x1d99internal words\x1d3141001250":                  "(241)XY/9(99)internal words(3141)001250",
		"(01)12345678901231 (3151)000250 (8005)001234":               "(01)12345678901231(3151)000250(8005)001234",
		"(10)A(B)C(17)260400":                                        "(10)A(B)C(17)260400",
		"8200http://example.invalid":                                 "(8200)http://example.invalid",
		"0112345678901231" + "1012345" + "\x1d" + "0112345678901231": "(01)12345678901231(10)12345(01)12345678901231",
	} {
		g, err := ParseGS1(raw, in2026)
		if err != nil || g.String() != want {
			t.Errorf("ParseGS1(%q) = %s, %v, want %s", raw, g, err, want)
		}
	}
}

func TestGS1Values(t *testing.T) {
	g, err := ParseGS1("3102001723"+"17260400"+"11991225"+"3724", in2026)
	if err != nil {
		t.Fatal(err)
	}
	kg, _ := g.Get("310")
	expires, _ := g.Get("17")
	made, _ := g.Get("11")
	count, _ := g.Get("37")
	if kg.Quantity.String() != "17.23" || kg.Unit != costing.Kilogram || count.Quantity.String() != "24" || count.Unit != costing.Each {
		t.Errorf("measures %+v %+v", kg, count)
	}
	if expires.Date.String() != "2026-04-30" || made.Date.String() != "1999-12-25" {
		t.Errorf("dates %s %s", expires.Date, made.Date)
	}
	for s, want := range map[string]string{
		"260229": "no day 29", "261301": "no month 13", "240229": "2024-02-29", "770101": "1977-01-01", "760101": "2076-01-01", "280200": "2028-02-29",
	} {
		d, err := gs1Date(s, in2026.Today)
		if got := d.String(); got != want && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("gs1Date(%s) = %s, %v, want %s", s, got, err, want)
		}
	}
	if d, _ := gs1Date("100101", costing.NewDate(2061, 1, 1)); d.String() != "2110-01-01" {
		t.Errorf("51 years back: %s", d)
	}
}

func TestGS1ErrorsNameIdentifierAndPosition(t *testing.T) {
	for raw, want := range map[string]GS1Error{
		"(01)12345678901232":                 {"01", 1, "check digit"},
		"0112345678901231" + "1612":          {"16", 17, "have 2 characters, not 6"},
		"01123":                              {"01", 1, "have 3 characters, not 14"},
		"1012345678901234567890117260400":    {"10", 1, "separator"},
		"(10)A(17)261301":                    {"17", 6, "no month"},
		"0112345678901231" + "3106001234":    {"3106", 17, "decimals"},
		"0112345678901231" + "0512":          {"", 17, "no application identifier"},
		"]C0J0000001":                        {"", 1, "no GS1 label"},
		"(10)A(170)1":                        {"170", 6, "no such"},
		"(10":                                {"", 1, "brackets"},
		"10Ä\x1d30x":                         {"10", 1, "not allowed"},
		"30x":                                {"30", 1, "digits only"},
		"10A\x1d10B":                         {"10", 5, "before, at position 1"},
		"31":                                 {"31", 1, "4 digits"},
		"]C1" + "0112345678901231" + "17260": {"17", 20, "characters"},
	} {
		_, err := ParseGS1(raw, in2026)
		var e *GS1Error
		if !errors.As(err, &e) || e.AI != want.AI || e.Position != want.Position || !strings.Contains(e.Reason, want.Reason) {
			t.Errorf("ParseGS1(%q): %v, want (%s) at %d …%s…", raw, err, want.AI, want.Position, want.Reason)
		}
	}
	if _, err := ParseGS1(" \r", in2026); err == nil {
		t.Error("an empty label passed")
	}
	opt := in2026
	opt.Separator = "~"
	if g, err := ParseGS1("10AB~17260400", opt); err != nil || len(g) != 2 {
		t.Errorf("set separator: %v %v", g, err)
	}
	if !LooksLikeGS1("]d201…") || !LooksLikeGS1("(01)1") || LooksLikeGS1("J0000019") || LooksLikeGS1("12.5MTR") {
		t.Error("LooksLikeGS1")
	}
}

func FuzzGS1(f *testing.F) {
	for _, s := range []string{"(01)12345678901231(10)12345", "]C10112345678901231101234\x1d17260400", "3102001723", "(10", "99\x1d99", "Ä", "]", "00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, raw string) {
		g, err := ParseGS1(raw, in2026)
		if err != nil {
			return
		}
		if len(g) == 0 {
			t.Fatalf("%q gave nothing and no error", raw)
		}
		// What was read can be read again from its scanned form.
		again := ""
		for _, e := range g {
			again += e.AI + e.Value + groupSeparator
		}
		h, err := ParseGS1(again, in2026)
		if err != nil || h.String() != g.String() {
			t.Fatalf("%q gave %s, then %s, %v", raw, g, h, err)
		}
	})
}
