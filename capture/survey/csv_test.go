package survey

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/figure"
)

// Of several channels the offset furthest from zero counts, whatever its sign;
// what is not there is empty.
func TestCSVKeepsSignsAndLeavesOutWhatIsNotThere(t *testing.T) {
	var b strings.Builder
	require.NoError(t, WriteCSV(&b, []Result{{DCOffset: []figure.Figure{0, -0.08}}, {Hum: Hum{Present: true, MainsHz: 60}}}))
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	require.NoError(t, err)
	for column, want := range map[string][2]string{"dc_offset": {"-0.080", "0.000"}, "hum_mains_hz": {"", "60"}} {
		for i, name := range rows[0] {
			if name == column {
				require.Equal(t, want, [2]string{rows[1][i], rows[2][i]}, column)
			}
		}
	}
}
