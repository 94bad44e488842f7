package labels

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every row and the heading are on the pages; the same list is the same bytes.
func TestWriteList(t *testing.T) {
	list := &List{
		Title: "Batch R-7731", About: "Where it went", Note: "what left the lot",
		Columns: []ListColumn{{Head: "Hull", Share: 1}, {Head: "Part", Share: 3}, {Head: "Quantity", Share: 1, Right: true}},
	}
	for i := range 100 {
		list.Rows = append(list.Rows, []string{"H1", fmt.Sprintf("a part with a name that goes on and on, number %d", i), "12.5 kg"})
	}
	var a, b bytes.Buffer
	pages, err := WriteList(&a, list, SheetOptions{})
	require.NoError(t, err)
	assert.Equal(t, 5, pages)
	_, err = WriteList(&b, list, SheetOptions{})
	require.NoError(t, err)
	assert.Equal(t, a.Bytes(), b.Bytes())
	assert.True(t, bytes.HasPrefix(a.Bytes(), []byte("%PDF-")))

	list.Rows = nil
	pages, err = WriteList(&a, list, SheetOptions{})
	require.NoError(t, err)
	assert.Equal(t, 1, pages)

	list.Rows = make([][]string, maxListRows+1)
	_, err = WriteList(&a, list, SheetOptions{})
	assert.ErrorContains(t, err, "too many")
}
