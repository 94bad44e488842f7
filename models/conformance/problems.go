package conformance

import (
	"errors"
	"testing"

	"hulltally/models"
)

// problemsOf loads a folder that must be refused and gives what was said.
func problemsOf(t testing.TB, s *models.Store, dir string) []models.Problem {
	t.Helper()
	report, err := s.Load(t.Context(), dir, models.LoadOptions{Now: Now})
	var problems *models.Problems
	if !errors.As(err, &problems) {
		t.Errorf("Load gave %+v, %v, want problems", report, err)
		return nil
	}
	return problems.List
}

func wantProblems(t testing.TB, got []models.Problem, want ...models.Problem) {
	t.Helper()
	same := len(got) == len(want)
	for i := 0; same && i < len(got); i++ {
		same = got[i] == want[i]
	}
	if same {
		return
	}
	for _, p := range got {
		t.Errorf("got  %q %d %q: %s", p.File, p.Line, p.Column, p.Reason)
	}
	for _, p := range want {
		t.Errorf("want %q %d %q: %s", p.File, p.Line, p.Column, p.Reason)
	}
}
