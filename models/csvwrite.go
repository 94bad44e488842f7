package models

import (
	"encoding/csv"
	"io"
	"strings"
)

// names lists the columns of the written file.
func (f *file[R]) names() []string {
	var names []string
	for _, c := range f.columns {
		if !c.hidden {
			names = append(names, c.name)
		}
	}
	return names
}

func (f *file[R]) header() string { return strings.Join(f.names(), ",") }

// keyName names the columns of the key.
func (f *file[R]) keyName() string {
	var names []string
	for _, c := range f.columns {
		if c.key && !c.hidden {
			names = append(names, c.name)
		}
	}
	return strings.Join(names, ",")
}

// writer writes rows of one yard file.
type writer[R any] struct {
	file *file[R]
	csv  *csv.Writer
}

// newWriter begins a file with its header.
func (f *file[R]) newWriter(w io.Writer) (*writer[R], error) {
	out := &writer[R]{f, csv.NewWriter(w)}
	return out, out.csv.Write(f.names())
}

func (w *writer[R]) write(row *R) error {
	cells := w.file.cellsOf(row)
	written := cells[:0]
	for i, c := range w.file.columns {
		if !c.hidden {
			written = append(written, cells[i])
		}
	}
	return w.csv.Write(written)
}

func (w *writer[R]) close() error {
	w.csv.Flush()
	return w.csv.Error()
}

func joined(cells []string) string { return strings.Join(cells, keySeparator) }
