package reference

import (
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Sums of the values of each table: all columns but those that tell where a
// value is from. Texts may be put better; a value that changes needs a source.
var values = map[string]string{
	"a_weighting.csv":           "0f4ded2be0396f7a",
	"ballistics.csv":            "6281b92eeb7ba590",
	"biquad_cookbook.csv":       "475450b11a0b2bee",
	"butterworth_magnitude.csv": "986d974caaea78d9",
	"butterworth_q.csv":         "a3fc2cacd2ee227a",
	"filter_fixture.csv":        "3265cdd1c37ee7c8",
	"k_weighting.csv":           "1dd8ef5b633ef980",
	"loudness_cases.csv":        "128031b7ff2a6dd6",
	"octave_band_limits.csv":    "569085c15eac9f75",
	"octave_bands.csv":          "63154d1f81916d5f",
	"time_weighting.csv":        "9071f911dd70d3dd",
	"true_peak.csv":             "c336151cfbf82084",
	"true_peak_cases20_23.csv":  "3e1826178219c0b7",
	"windows.csv":               "f8a00bf51db638d1",
}

func TestValuesAreUnchanged(t *testing.T) {
	tables, err := filepath.Glob(filepath.Join(root(t), "testdata/reference/*.csv"))
	require.NoError(t, err)
	require.Len(t, tables, len(values))
	for _, path := range tables {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) { require.Equal(t, values[name], sumOfValues(t, path), name) })
	}
}

func sumOfValues(t *testing.T, path string) string {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1)
	told := map[string]bool{"how": true, "source": true, "note": true}
	sum := sha256.New()
	for _, row := range rows {
		for i, cell := range row {
			if !told[rows[0][i]] {
				fmt.Fprintf(sum, "%s\x1f", cell)
			}
		}
	}
	return fmt.Sprintf("%x", sum.Sum(nil))[:16]
}

// Every file is told of in the README beside it, and what is told of is there.
func TestReadmeNamesEveryFile(t *testing.T) {
	dir := filepath.Join(root(t), "testdata/reference")
	readme, err := os.ReadFile(filepath.Join(dir, "README.md"))
	require.NoError(t, err)
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		require.True(t, e.Name() == "README.md" || strings.Contains(string(readme), e.Name()), e.Name())
	}
	for _, word := range strings.FieldsFunc(string(readme), func(r rune) bool { return strings.ContainsRune(" |,()`\n", r) }) {
		if ext := filepath.Ext(word); ext == ".csv" || ext == ".wav" || ext == ".md" {
			require.FileExists(t, filepath.Join(dir, word))
		}
	}
}
