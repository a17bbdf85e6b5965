// Package reference reads the check values in testdata/reference for tests.
package reference

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// Row is one line of a table by column name.
type Row map[string]string

// Float gives a column as a number; "inf" and empty columns are +Inf and NaN.
func (r Row) Float(t testing.TB, column string) float64 {
	t.Helper()
	text, ok := r[column]
	require.True(t, ok, "no column %q", column)
	if text == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err, "column %q", column)
	return v
}

// Rows reads a table. A table without rows fails the test.
func Rows(t testing.TB, name string) []Row {
	t.Helper()
	f, err := os.Open(filepath.Join(root(t), "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	require.NoError(t, err, name)
	require.Greater(t, len(lines), 1, "%s has no rows", name)
	rows := make([]Row, 0, len(lines)-1)
	for _, line := range lines[1:] {
		row := Row{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// root is the folder of go.mod, above the test's own.
func root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		require.NotEqual(t, dir, up, "go.mod not found")
		dir = up
	}
}
