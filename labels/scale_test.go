package labels_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/labels"
)

func TestReadAmount(t *testing.T) {
	for text, want := range map[string]string{
		"12.345 kg": "12.345KGM", "12,345kg": "12.345KGM", "ST,GS,+ 12.345kg": "12.345KGM", "ST,NT,+00012.50 kg\r\n": "12.5KGM",
		"  12.5": "12.5", "12.5MTR": "12.5MTR", "850 g": "0.85KGM", "N 3.20 kg": "3.2KGM", "+     1.05 kg N": "1.05KGM",
		"3 l": "3LTR", "250ml": "0.25LTR", "4 m²": "4MTK", "4 M2": "4MTK", "7 pcs": "7C62", "\x02ST,GS,  0.5kg\x03": "0.5KGM",
	} {
		m, err := labels.ReadAmount(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, m.Value.String()+string(m.Unit), text)
		r, err := labels.Read(text)
		require.NoError(t, err, text)
		assert.Equal(t, m, *r.Measure, "as a read: %q", text)
	}
	for text, why := range map[string]string{
		"US,GS,+ 12.345kg": "not settled", "OL,GS,+ 0kg": "range", "ST,TR,+ 1.2kg": "tare", "ST,GS,- 0.2kg": "negative", "ST,GS,+ 0.000kg": "above zero",
		"12 lb": "unit LB", "1.2.3 kg": "no quantity", "12 345 kg": "no quantity", "kg": "no quantity", "": "no quantity", "1e3 kg": "no quantity",
		"12345678 kg": "no quantity", "9999999 kg": "too large", "0.0005 g": "finer", "ST,GS,": "no quantity", "１２ kg": "no quantity",
	} {
		_, err := labels.ReadAmount(text)
		require.ErrorContains(t, err, why, "%q", text)
		_, err = labels.Read(text)
		if text != "12 345 kg" {
			require.Error(t, err, "as a read: %q", text)
		}
	}
}

// FuzzReadAmount: what is understood is above nothing, and its plain form is
// understood as the same.
func FuzzReadAmount(f *testing.F) {
	for _, text := range []string{"12.345 kg", "ST,GS,+ 12.345kg", "US,NT,-1g", "3 ml", "+ 1,5 M²", "N N N", "ST,1KG N"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := labels.ReadAmount(text)
		if err != nil {
			return
		}
		if m.Value <= 0 || m.Value > labels.MaxMeasure {
			t.Fatalf("%q is %s", text, m.Value)
		}
		plain := m.Value.String() + string(m.Unit)
		again, err := labels.ReadAmount(plain)
		if err != nil || again != m {
			t.Fatalf("%q is %s, which is %+v, %v", text, plain, again, err)
		}
		if r, err := labels.Read(text); err == nil && (r.Measure == nil || *r.Measure != m) {
			t.Fatalf("%q is %+v as an amount and %+v as a read", text, m, r)
		}
	})
}
