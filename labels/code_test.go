package labels

import (
	"crypto/rand"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestCheckCharacterOfPublishedExamples(t *testing.T) {
	for s, want := range map[string]byte{"G123498654321": 'H', "G123489654321": 'Y'} {
		if got := checkCharacter(s); got != want {
			t.Errorf("checkCharacter(%s) = %c, want %c", s, got, want)
		}
	}
}

func TestNextSerialRunsOn(t *testing.T) {
	last, issued := "", map[string]bool{}
	for range 5000 {
		s, p := NextSerial(Job, last)
		if s <= last && last != "" || issued[p] || Check(p) != nil || strings.Contains(p, "*") {
			t.Fatalf("after %q came %q, %q", last, s, p)
		}
		last, issued[p] = s, true
	}
	for _, end := range []string{"XXXXXX", "A00000", "00000"} {
		if s, p := NextSerial(Job, end); s != "" || p != "" {
			t.Errorf("NextSerial(%q) = %q, %q, want none", end, s, p)
		}
	}
	if s, _ := NextSerial(Lot, "00000X"); s < "000010" {
		t.Errorf("no carry: %s", s)
	}
}

func TestAboutThreeSerialsInFourAreIssued(t *testing.T) {
	issued := 0
	for i := range 28 * 28 * 28 {
		s := []byte("000000")
		for j, v := 5, i; j >= 3; j, v = j-1, v/28 {
			s[j] = Alphabet[v%28]
		}
		if _, ok := Encode(Person, string(s)); ok {
			issued++
		}
	}
	if share := float64(issued) / (28 * 28 * 28); share < 0.70 || share > 0.80 {
		t.Errorf("share issued %.3f", share)
	}
}

func TestRandomSerial(t *testing.T) {
	seen := map[string]bool{}
	for range 2000 {
		s, p, err := RandomSerial(Person, rand.Reader)
		if err != nil || Check(p) != nil || p[1:7] != s || seen[s] {
			t.Fatalf("%q %q %v", s, p, err)
		}
		seen[s] = true
	}
	if _, _, err := RandomSerial(Person, strings.NewReader("ab")); err == nil {
		t.Error("a dry source of chance went unnoticed")
	}
	if _, _, err := RandomSerial('Q', rand.Reader); err == nil {
		t.Error("kind Q was accepted")
	}
}

func TestCheckSaysWhatIsWrong(t *testing.T) {
	_, p := NextSerial(Job, "")
	for payload, want := range map[string]string{
		"": "empty", p[:7]: "have 8 characters, this has 7", "Q" + p[1:]: "begin with", p[:3] + "O" + p[4:]: "character 4",
		p[:7] + "*": "character 8", p[:7] + "é": "character 8", p[:7] + "\xff": "character 8",
	} {
		if err := Check(payload); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Check(%q) = %v, want …%s…", payload, err, want)
		}
	}
	if err := Check(p[:6] + "X" + p[7:]); !errors.Is(err, ErrCheckCharacter) {
		t.Errorf("got %v", err)
	}
	if Group("J00042XB") != "J 000 42X B" {
		t.Error(Group("J00042XB"))
	}
}

func anyPayload() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		kind := rapid.SampledFrom([]Kind{Person, Crew, Job, Lot, Indirect, Wall}).Draw(t, "kind")
		s := make([]byte, serialLength)
		for i := range s {
			s[i] = Alphabet[rapid.IntRange(0, len(Alphabet)-1).Draw(t, "c")]
		}
		if p, ok := Encode(kind, string(s)); ok {
			return p
		}
		_, p := NextSerial(kind, string(s))
		if p == "" {
			t.Skip()
		}
		return p
	})
}

// Every single substitution, adjacent transposition, jump transposition and
// twin error in a payload must be caught; the shares are printed.
func TestMistakesAreCaught(t *testing.T) {
	var made, caught [4]int
	count := func(kind int, wrong string) {
		made[kind]++
		if Check(wrong) != nil {
			caught[kind]++
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		p := anyPayload().Draw(rt, "payload")
		for i := range p {
			for _, c := range checkValues {
				if byte(c) != p[i] {
					count(0, p[:i]+string(c)+p[i+1:])
				}
				if i+1 < len(p) && p[i] == p[i+1] && byte(c) != p[i] {
					count(3, p[:i]+string(c)+string(c)+p[i+2:])
				}
			}
			if i+1 < len(p) && p[i] != p[i+1] {
				count(1, p[:i]+p[i+1:i+2]+p[i:i+1]+p[i+2:])
			}
			if i+2 < len(p) && p[i] != p[i+2] {
				count(2, p[:i]+p[i+2:i+3]+p[i+1:i+2]+p[i:i+1]+p[i+3:])
			}
		}
	})
	for i, name := range []string{"single substitutions", "adjacent transpositions", "jump transpositions", "twin errors"} {
		t.Logf("%s caught: %d of %d (%.4f %%)", name, caught[i], made[i], 100*float64(caught[i])/float64(made[i]))
		if caught[i] != made[i] || made[i] == 0 {
			t.Errorf("%s: %d slipped through", name, made[i]-caught[i])
		}
	}
}
