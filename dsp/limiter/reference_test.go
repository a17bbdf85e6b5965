package limiter

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// interpolator is a reference: a filter per phase, output k of phase p is
// Σ h[p][t]·x[k−t].
type interpolator [][]float64

// annexTwo reads the printed filter from the reference table (ITU-R BS.1770-5
// Annex 2).
func annexTwo(t testing.TB) interpolator {
	f, err := os.Open("../../testdata/reference/true_peak.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment, r.FieldsPerRecord = '#', -1
	rows, err := r.ReadAll()
	require.NoError(t, err)
	ip, found := make(interpolator, 4), 0
	for p := range ip {
		ip[p] = make([]float64, 12)
	}
	for _, row := range rows {
		var p, tap int
		if n, _ := fmt.Sscanf(row[1], "phase%d_tap%d", &p, &tap); n == 2 && row[0] == "coef" {
			ip[p][tap], err = strconv.ParseFloat(row[2], 64)
			require.NoError(t, err)
			found++
		}
	}
	require.Equal(t, 48, found)
	return ip
}

// kaiserSinc is the usual design of general-purpose resamplers: a sinc of so
// many taps per phase under a Kaiser window, cut off at half the sample rate.
// perPhase 20 and beta 5 are what scipy.signal.resample_poly(x, up, 1) takes
// (scipy 1.10 documentation).
func kaiserSinc(up, perPhase int, beta float64) interpolator {
	ip := make(interpolator, up)
	reach := perPhase / 2 * up
	sum := 0.0
	for p := range ip {
		ip[p] = make([]float64, perPhase+1)
		for t := range ip[p] {
			k := t*up + p - reach
			if k > reach {
				continue
			}
			r := float64(k) / float64(reach)
			w := bessel(beta*math.Sqrt(1-r*r)) / bessel(beta)
			h := w
			if k != 0 {
				a := math.Pi * float64(k) / float64(up)
				h = w * math.Sin(a) / a
			}
			ip[p][t] = h
			sum += h
		}
	}
	for p := range ip {
		for t := range ip[p] {
			ip[p][t] *= float64(up) / sum
		}
	}
	return ip
}

// bessel is the integral form of the modified Bessel function I0.
func bessel(x float64) float64 {
	const n = 200
	sum := 0.0
	for k := range n {
		sum += math.Exp(x * math.Cos(math.Pi*(float64(k)+0.5)/n))
	}
	return sum / n
}

// peakDB gives the true peak in dB by the reference, of one channel.
func (ip interpolator) peakDB(x []float32) float64 {
	top := 0.0
	for _, h := range ip {
		for k := len(h); k < len(x); k++ {
			y := 0.0
			for t, c := range h {
				y += c * float64(x[k-t])
			}
			top = max(top, math.Abs(y))
		}
	}
	for _, v := range x {
		top = max(top, math.Abs(float64(v)))
	}
	return 20 * math.Log10(top)
}
