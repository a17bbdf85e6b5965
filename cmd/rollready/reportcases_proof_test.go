//go:build proof

package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/wavfile"
)

// EBU Tech 3341 Table 1 cases 1–5, 10 and 13 and EBU Tech 3342 Table 1 cases
// 1–4, as files; see testdata/reference/loudness_cases.csv.
func TestProofReportOfEBULoudnessCases(t *testing.T) {
	folder, quiet := t.TempDir(), math.Inf(-1)
	type want struct {
		read          func(reported) float64
		value, within float64
	}
	integrated := func(r reported) float64 { return *r.IntegratedLUFS }
	lra := func(r reported) float64 { return r.LoudnessRangeLU }
	wants := map[string]want{}
	add := func(name string, block []float32, w want) {
		wants[put(t, folder, name+".wav", block, stereo48, wavfile.PCM24)] = w
	}
	add("3341-1", steps(20, -23), want{integrated, -23, 0.1})
	add("3341-2", steps(20, -33), want{integrated, -33, 0.1})
	add("3341-3", steps(10, -36, 60, -23, 10, -36), want{integrated, -23, 0.1})
	add("3341-4", steps(10, -72, 10, -36, 60, -23, 10, -36, 10, -72), want{integrated, -23, 0.1})
	add("3341-5", steps(20, -26, 20.1, -20, 20, -26), want{integrated, -23, 0.1})
	add("3342-1", steps(20, -20, 20, -30), want{lra, 10, 1})
	add("3342-2", steps(20, -20, 20, -15), want{lra, 5, 1})
	add("3342-3", steps(20, -40, 20, -20), want{lra, 20, 1})
	add("3342-4", steps(20, -50, 20, -35, 20, -20, 20, -35, 20, -50), want{lra, 15, 1})
	for i := range 20 {
		add(fmt.Sprintf("3341-10-%02d", i), steps(float64(i)*0.15, quiet, 3, -23, 1, quiet),
			want{func(r reported) float64 { return *r.MaxShortTermLUFS }, -23, 0.1})
		add(fmt.Sprintf("3341-13-%02d", i), steps(float64(i)*0.02, quiet, 0.4, -23, 1, quiet),
			want{func(r reported) float64 { return *r.MaxMomentaryLUFS }, -23, 0.1})
	}
	files := objects[reportJSON](t, newUser(t).ok("report", folder, "--json"))[0].Files
	require.Len(t, files, len(wants))
	for _, f := range files {
		w := wants[f.Path]
		require.InDelta(t, w.value, w.read(f), w.within, f.Path)
	}
}

// EBU Tech 3341 Table 1 cases 15–23 as files: +0.2/−0.4 dBTP.
func TestProofReportOfEBUTruePeakCases(t *testing.T) {
	folder, wants := t.TempDir(), map[string]float64{}
	mono := capture.Format{RateHz: 48000, Channels: 1}
	add := func(name string, x []float64, dBTP float64) {
		block := make([]float32, len(x))
		for i, v := range x {
			edge := min(1, float64(min(i, len(x)-1-i))/20)
			block[i] = float32(v * edge)
		}
		wants[put(t, folder, name+".wav", block, mono, wavfile.Float32)] = dBTP
	}
	for name, c := range map[string]struct{ fraction, degrees, peak, dBTP float64 }{
		"15": {4, 0, 0.5, -6}, "16": {4, 45, 0.5, -6}, "17": {6, 60, 0.5, -6}, "18": {8, 67.5, 0.5, -6}, "19": {4, 45, 1.41, 3},
	} {
		x := make([]float64, 48000)
		for i := range x {
			x[i] = c.peak * math.Sin(2*math.Pi*float64(i)/c.fraction+c.degrees*math.Pi/180)
		}
		add("3341-"+name, x, c.dBTP)
	}
	raw, err := os.ReadFile("../../testdata/reference/true_peak_cases20_23.csv")
	require.NoError(t, err)
	table := csv.NewReader(strings.NewReader(string(raw)))
	table.Comment = '#'
	rows, err := table.ReadAll()
	require.NoError(t, err)
	for column, name := range rows[0] {
		if !strings.HasPrefix(name, "case") {
			continue
		}
		x := make([]float64, len(rows)-1)
		for i, row := range rows[1:] {
			_, err := fmt.Sscan(row[column], &x[i])
			require.NoError(t, err)
		}
		add("3341-"+strings.TrimPrefix(name, "case"), x, 0)
	}
	require.Len(t, wants, 9)
	files := objects[reportJSON](t, newUser(t).ok("report", folder, "--json"))[0].Files
	require.Len(t, files, 9)
	for _, f := range files {
		require.InDelta(t, wants[f.Path]-0.1, *f.TruePeakDBTP[0], 0.3, f.Path)
	}
}
