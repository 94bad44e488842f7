package forecast

import (
	"math"
	"testing"
)

// Two-sided 95 % and 99 % points of Student's t as any statistical table prints them.
func TestStudentT(t *testing.T) {
	for _, c := range []struct {
		freedom  int
		t95, t99 float64
	}{
		{1, 12.706, 63.657},
		{2, 4.303, 9.925},
		{3, 3.182, 5.841},
		{4, 2.776, 4.604},
		{5, 2.571, 4.032},
		{10, 2.228, 3.169},
		{15, 2.131, 2.947},
		{30, 2.042, 2.750},
		{120, 1.980, 2.617},
	} {
		if got := studentT(c.freedom, 0.95); math.Abs(got-c.t95) > 0.0006 {
			t.Errorf("t(%d, 95 %%) = %.4f, want %.3f", c.freedom, got, c.t95)
		}
		if got := studentT(c.freedom, 0.99); math.Abs(got-c.t99) > 0.0006 {
			t.Errorf("t(%d, 99 %%) = %.4f, want %.3f", c.freedom, got, c.t99)
		}
	}
}
