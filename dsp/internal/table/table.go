// Package table reads the reference tables in testdata for tests.
package table

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
)

// Row is one line of a table, by column name.
type Row struct {
	t    testing.TB
	cell map[string]string
}

// Text gives a cell as it stands.
func (r Row) Text(column string) string { return r.cell[column] }

// Number gives a cell as a number; the test fails where it is none.
func (r Row) Number(column string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(r.cell[column], 64)
	if err != nil {
		r.t.Fatalf("column %s: %v in %v", column, err, r.cell)
	}
	return v
}

// Read gives the rows of testdata/reference/NAME. The test fails where the
// table is missing or empty.
func Read(t testing.TB, name string) []Row {
	t.Helper()
	_, here, _, _ := runtime.Caller(0)
	path := filepath.Join(filepath.Dir(here), "..", "..", "..", "testdata", "reference", name)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	reader := csv.NewReader(f)
	reader.Comment, reader.FieldsPerRecord = '#', -1
	lines, err := reader.ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("%s: %d lines, %v", path, len(lines), err)
	}
	var rows []Row
	for _, line := range lines[1:] {
		cell := map[string]string{}
		for i, column := range lines[0] {
			if i < len(line) {
				cell[column] = line[i]
			}
		}
		rows = append(rows, Row{t, cell})
	}
	return rows
}
