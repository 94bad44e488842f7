package handlers

import (
	"embed"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

//go:embed lang/*.json
var langFiles embed.FS

// floorLanguage is a language of the floor: its words are in lang, a file each.
type floorLanguage struct {
	Code string // of ISO 639-1, such as pl
	Name string // as its speakers call it
	text []byte
}

// readLanguages reads the languages of the floor, sorted by code.
func readLanguages() ([]floorLanguage, error) {
	names, err := fs.Glob(langFiles, "lang/*.json")
	if err != nil {
		return nil, err
	}
	var list []floorLanguage
	for _, name := range names {
		text, err := langFiles.ReadFile(name)
		if err != nil {
			return nil, err
		}
		var words struct {
			Name string `json:"name"`
		}
		if err := json.Unmarshal(text, &words); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		list = append(list, floorLanguage{strings.TrimSuffix(path.Base(name), ".json"), words.Name, text})
	}
	return list, nil
}

// floorWords gives the words of a language.
func (s *Server) floorWords(v *Visit) error {
	for _, l := range s.pages.languages {
		if l.Code == v.Param("name") {
			v.Header("Cache-Control", "no-cache")
			v.Data(http.StatusOK, "application/json", l.text)
			return nil
		}
	}
	return errNoPage
}
