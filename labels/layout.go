package labels

import "strings"

// The layouts that are recognised, by the name shown to the yard.
const (
	LayoutAZERTY   = "AZERTY"
	LayoutQWERTZ   = "QWERTZ"
	LayoutDvorak   = "Dvorak"
	LayoutCapsLock = "caps lock"
)

// layout undoes what a host with the wrong keyboard setting makes of a
// scanner's keystrokes. Scanners press the keys of a US keyboard.
type layout struct {
	name string
	back map[rune]rune // what arrived → the US character
}

// newLayout pairs what arrives with the US characters of the same keys.
func newLayout(name, us, arrives string) layout {
	l := layout{name, map[rune]rune{}}
	from := []rune(arrives)
	for i, to := range []rune(us) {
		l.back[from[i]] = to
	}
	return l
}

// Letters arrive shifted and digits unshifted, so both faces of the moved keys
// are listed. The Czech, Slovak and Hungarian keyboards are QWERTZ too and
// move digits, which the German one does only under caps lock.
var layouts = []layout{
	newLayout(LayoutAZERTY, "1234567890AQWZMaqwzm].", "&é\"'(-è_çàQAZW?qazw,$:"),
	newLayout(LayoutAZERTY, "1234567890AQWZMaqwzm].", "&é\"'(§è!çàQAZW?qazw,$:"), // Belgian, and French on a Mac
	newLayout(LayoutQWERTZ, "1234567890YZyz]", "+ěščřžýáíéZYzy)"),
	newLayout(LayoutQWERTZ, "1234567890YZyz]", "+ľščťžýáíéZYzyä"),
	newLayout(LayoutQWERTZ, "0YZyz]", "öZYzyú"),
	newLayout(LayoutQWERTZ, "YZyz]", "ZYzy+"),
	newLayout(LayoutQWERTZ+" with "+LayoutCapsLock, "1234567890YZyz]", "!\"§$%&/()=ZYzy*"),
	newLayout(LayoutCapsLock, "1234567890]", "!@#$%^&*()}"),
	newLayout(LayoutDvorak, "QWERTYUIOPSDFGHJKLZXCVBNqwertyuiopsdfghjklzxcvbn].",
		"\"<>PYFGCRLOEUIDHTN:QJKXB',.pyfgcrloeuidhtn;qjkxb=v"),
}

// undo maps every character back; one that no key gives stays as it is.
func (l *layout) undo(s string) string {
	return strings.Map(func(r rune) rune {
		if to, ok := l.back[r]; ok {
			return to
		}
		return r
	}, s)
}

// capsLock names the caps lock where every letter came in lower case.
func capsLock(s string) string {
	for i := range len(s) {
		if s[i] >= 'A' && s[i] <= 'Z' {
			return ""
		}
	}
	return LayoutCapsLock
}

// measureLayout names the layout under which s would be a number.
func measureLayout(s string) string {
	for i := range layouts {
		u := layouts[i].undo(strings.ToLower(s))
		if u != s && strings.Trim(u, "0123456789.,") == "" {
			return layouts[i].name
		}
	}
	return ""
}
