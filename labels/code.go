package labels

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Kind is the first letter of a payload: what the code stands for.
type Kind byte

// The kinds of code.
const (
	Person   Kind = 'P'
	Crew     Kind = 'C'
	Job      Kind = 'J'
	Lot      Kind = 'L'
	Indirect Kind = 'N'
	Wall     Kind = 'K'
)

// Alphabet is what serials and check characters are made of: no letter that
// common keyboard layouts move, none that reads as a digit.
const Alphabet = "0123456789BCDEFGHJKLNPRSTUVX"

const (
	serialLength  = 6
	payloadLength = serialLength + 2
)

// ErrCheckCharacter is wrapped by Check where a payload has the right form but
// the wrong check character: it was misread or mistyped.
var ErrCheckCharacter = errors.New("the check character is wrong: scan or type it again")

// String names the kind in words.
func (k Kind) String() string {
	switch k {
	case Person:
		return "badge"
	case Crew:
		return "crew"
	case Job:
		return "job card"
	case Lot:
		return "lot"
	case Indirect:
		return "indirect"
	case Wall:
		return "wall card"
	}
	return "unknown kind"
}

func (k Kind) valid() bool {
	switch k {
	case Person, Crew, Job, Lot, Indirect, Wall:
		return true
	}
	return false
}

// checkValues are the characters of ISO/IEC 7064 MOD 37-2 in order of value.
const checkValues = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"

// rank holds, for every byte, its place in Alphabet, or -1.
var rank = func() (t [256]int8) {
	for i := range t {
		t[i] = int8(strings.IndexByte(Alphabet, byte(i)))
	}
	return t
}()

func checkValue(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'Z':
		return int(c-'A') + 10
	}
	return -1
}

// checkCharacter is the MOD 37-2 check character over s (digits and upper-case
// letters), which may be '*'; 0 if s holds anything else.
func checkCharacter(s string) byte {
	p := 0
	for i := range len(s) {
		v := checkValue(s[i])
		if v < 0 {
			return 0
		}
		p = (p + v) * 2 % 37
	}
	return checkValues[(38-p)%37]
}

// Encode joins kind, serial and check character. It is not ok where the serial
// is malformed or its check character falls outside Alphabet: such a serial is
// never issued.
func Encode(kind Kind, serial string) (payload string, ok bool) {
	if !kind.valid() || !isSerial(serial) {
		return "", false
	}
	body := string(rune(kind)) + serial
	c := checkCharacter(body)
	if rank[c] < 0 {
		return "", false
	}
	return body + string(rune(c)), true
}

func isSerial(s string) bool {
	if len(s) != serialLength {
		return false
	}
	for i := range len(s) {
		if rank[s[i]] < 0 {
			return false
		}
	}
	return true
}

// NextSerial is the first serial after last that may be issued, with its
// payload; an empty last starts the run. Both are empty where none is left or
// last is no serial.
func NextSerial(kind Kind, last string) (serial, payload string) {
	if last == "" {
		last = strings.Repeat(Alphabet[:1], serialLength)
	}
	if !isSerial(last) || !kind.valid() {
		return "", ""
	}
	s := []byte(last)
	for {
		i := len(s) - 1
		for ; i >= 0 && int(rank[s[i]]) == len(Alphabet)-1; i-- {
			s[i] = Alphabet[0]
		}
		if i < 0 {
			return "", ""
		}
		s[i] = Alphabet[rank[s[i]]+1]
		if payload, ok := Encode(kind, string(s)); ok {
			return string(s), payload
		}
	}
}

// RandomSerial draws a serial that may be issued, each as likely as any other.
func RandomSerial(kind Kind, random io.Reader) (serial, payload string, err error) {
	if !kind.valid() {
		return "", "", fmt.Errorf("%q is not a kind of code", rune(kind))
	}
	const fair = 256 / len(Alphabet) * len(Alphabet) // beyond it the first letters would come more often
	var s [serialLength]byte
	var b [1]byte
	for {
		for i := 0; i < len(s); {
			if _, err := io.ReadFull(random, b[:]); err != nil {
				return "", "", fmt.Errorf("drawing a serial: %w", err)
			}
			if int(b[0]) < fair {
				s[i] = Alphabet[int(b[0])%len(Alphabet)]
				i++
			}
		}
		if payload, ok := Encode(kind, string(s[:])); ok {
			return string(s[:]), payload, nil
		}
	}
}

// Check says what is wrong with a payload, if anything.
func Check(payload string) error {
	if payload == "" {
		return errors.New("the code is empty")
	}
	if n := utf8.RuneCountInString(payload); n != payloadLength {
		return fmt.Errorf("%q is not one of this yard's codes: those have %d characters, this has %d", clip(payload), payloadLength, n)
	}
	if !Kind(payload[0]).valid() {
		return fmt.Errorf("%q is not one of this yard's codes: those begin with P, C, J, L, N or K", payload)
	}
	for i, c := range []rune(payload) {
		if c > 'Z' || rank[c] < 0 {
			return fmt.Errorf("%q: character %d is never used in this yard's codes", payload, i+1)
		}
	}
	if checkCharacter(payload[:payloadLength-1]) != payload[payloadLength-1] {
		return fmt.Errorf("%q: %w", payload, ErrCheckCharacter)
	}
	return nil
}

// good is Check without the words.
func good(s string) bool {
	if len(s) != payloadLength || !Kind(s[0]).valid() {
		return false
	}
	for i := 1; i < len(s); i++ {
		if rank[s[i]] < 0 {
			return false
		}
	}
	return checkCharacter(s[:payloadLength-1]) == s[payloadLength-1]
}

// Group sets a payload in the groups that stand under the bars: "J 000 042 X".
func Group(payload string) string {
	if len(payload) != payloadLength {
		return payload
	}
	return payload[:1] + " " + payload[1:4] + " " + payload[4:7] + " " + payload[7:]
}

// clip shortens what a message quotes.
func clip(s string) string {
	if r := []rune(s); len(r) > 24 {
		return string(r[:24]) + "…"
	}
	return s
}
