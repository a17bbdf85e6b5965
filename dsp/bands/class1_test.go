package bands

import (
	"math"
	"math/cmplx"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/internal/reference"
)

// limit is one breakpoint of IEC 61260-1 Table 1, class 1.
type limit struct{ omega, min, max float64 }

// classOne reads the breakpoints above and below the midband, by frequency.
func classOne(t *testing.T) (limits []limit) {
	for _, row := range reference.Rows(t, "octave_band_limits.csv") {
		high := limit{row.Float(t, "omega_high_third"), row.Float(t, "class1_min_db"), row.Float(t, "class1_max_db")}
		low := high
		low.omega = row.Float(t, "omega_low_third")
		limits = append(limits, high, low)
	}
	sort.SliceStable(limits, func(i, j int) bool { return limits[i].omega < limits[j].omega })
	require.Len(t, limits, 20)
	return limits
}

// at interpolates the limits linearly in lg Ω (IEC 61260-1 Formula 11); an
// infinite limit spreads to its whole interval.
func at(limits []limit, omega float64) (lo, hi float64) {
	if omega <= limits[0].omega || omega >= limits[len(limits)-1].omega {
		return limits[0].min, math.Inf(1)
	}
	i := sort.Search(len(limits), func(i int) bool { return limits[i].omega > omega })
	a, b := limits[i-1], limits[i]
	share := math.Log(omega/a.omega) / math.Log(b.omega/a.omega)
	hi = math.Inf(1)
	if !math.IsInf(a.max, 1) && !math.IsInf(b.max, 1) {
		hi = a.max + share*(b.max-a.max)
	}
	return a.min + share*(b.min-a.min), hi
}

// responseDB is what band i makes of a tone: the halvings before it, each at
// its own rate with what folds back, then the band's filter.
func (m *Meter) responseDB(i int, hz float64) float64 {
	h := complex(1, 0)
	for l := 1; l <= m.at[i]; l++ {
		h *= halfBand(hz / m.levels[l-1].rateHz)
		hz = math.Abs(math.Remainder(hz, m.levels[l].rateHz))
	}
	s := &m.levels[m.at[i]]
	q, lane := &s.quads[(s.last-i)/lanes], (s.last-i)%lanes
	var filter [sections]section
	for k := range filter {
		filter[k] = section{q.a1[k][lane], q.a2[k][lane]}
	}
	h *= response(filter, 2*math.Pi*hz/s.rateHz)
	return 20*math.Log10(cmplx.Abs(h)) + 10*math.Log10(q.scale[lane])
}

// halfBand is the response of the halver at f cycles per sample.
func halfBand(f float64) complex128 {
	z := func(n float64) complex128 { return cmplx.Exp(complex(0, -2*math.Pi*f*n)) }
	chain := func(cs ...float64) complex128 {
		h := complex(1, 0)
		for _, c := range cs {
			h *= (complex(c, 0) + z(2)) / (1 + complex(c, 0)*z(2))
		}
		return h
	}
	return 0.5 * (chain(even1, even2, even3) + z(1)*chain(odd1, odd2, odd3))
}

var allRates = []int{44100, 48000, 88200, 96000, 176400, 192000}

// Source: IEC 61260-1:2014 Table 1, class 1, as copied in the table. The
// computed response, aliases included, on a dense grid up to half the rate.
func TestEveryBandMeetsClassOne(t *testing.T) {
	limits := classOne(t)
	for _, rateHz := range allRates {
		m := New(rateHz, 1)
		for i := range m.usable {
			mid, reference := At(i).MidHz, m.responseDB(i, At(i).MidHz)
			require.InDelta(t, 0, reference, 0.02, "midband")
			for hz := mid / 1000; hz < float64(rateHz)/2; hz *= 1.01 {
				attenuation := reference - m.responseDB(i, hz)
				lo, hi := at(limits, hz/mid)
				if attenuation < lo-1e-9 || attenuation > hi+1e-9 {
					require.FailNow(t, "outside class 1", "%g Hz band at %d Hz: %.2f dB at %.1f Hz, allowed %.2f…%.2f", At(i).NominalHz, rateHz, attenuation, hz, lo, hi)
				}
			}
		}
	}
}

// Source: IEC 61260-1:2014, 5.12: effective bandwidth within ±0.4 dB.
func TestEffectiveBandwidth(t *testing.T) {
	for _, rateHz := range allRates {
		m := New(rateHz, 1)
		for i := range m.usable {
			sum, last := 0.0, 0.0
			info := At(i)
			for hz := info.LowHz / 2; hz < min(2*info.HighHz, float64(rateHz)/2); hz *= 1.002 {
				if last > 0 {
					sum += (hz - last) / hz * math.Pow(10, m.responseDB(i, hz)/10)
				}
				last = hz
			}
			want := math.Log(info.HighHz / info.LowHz)
			require.InDelta(t, 0, 10*math.Log10(sum/want), 0.4, "%g Hz at %d", info.NominalHz, rateHz)
		}
	}
}

// Source: IEC 61260-1:2014, 5.16: the summed outputs of adjacent bands read a
// tone between their midbands within −1.8…+0.8 dB.
func TestAdjacentBandsSumFlat(t *testing.T) {
	for _, rateHz := range allRates {
		m := New(rateHz, 1)
		for hz := At(0).MidHz; hz < At(m.usable-1).MidHz; hz *= 1.01 {
			sum := 0.0
			for i := range m.usable {
				sum += math.Pow(10, m.responseDB(i, hz)/10)
			}
			level := 10 * math.Log10(sum)
			require.Greater(t, level, -1.8, "%g Hz at %d", hz, rateHz)
			require.Less(t, level, 0.8, "%g Hz at %d", hz, rateHz)
		}
	}
}

func TestHalvingIsCleanInItsPassband(t *testing.T) {
	for f := 0.0; f <= passHz/2; f += 0.0005 {
		require.InDelta(t, 0, 20*math.Log10(cmplx.Abs(halfBand(f))), 1e-6)
		require.Less(t, 20*math.Log10(cmplx.Abs(halfBand(0.5-f))), -85.0)
	}
}

func TestHighestBandsWithoutRoomAreNotUsable(t *testing.T) {
	for rateHz, want := range map[int]int{8000: 24, 16000: 27, 32000: 30, 44100: 31, 48000: 32, 88200: 32, 96000: 32, 176400: 32, 192000: 32} {
		require.Equal(t, want, New(rateHz, 1).Usable(), "%d Hz", rateHz)
	}
}

// Source: IEC 61260-1:2014 formulae 1 to 5 and ISO 266 names.
func TestTableOfBands(t *testing.T) {
	rows := reference.Rows(t, "octave_bands.csv")
	require.Len(t, rows, Count)
	for i, row := range rows {
		got := At(i)
		require.Equal(t, row.Float(t, "nominal_hz"), got.NominalHz)
		require.InDelta(t, row.Float(t, "exact_midband_hz"), got.MidHz, 1e-6)
		require.InDelta(t, row.Float(t, "lower_edge_hz"), got.LowHz, 1e-6)
		require.InDelta(t, row.Float(t, "upper_edge_hz"), got.HighHz, 1e-6)
		require.NotEmpty(t, got.LivesHere)
		require.LessOrEqual(t, len(got.LivesHere), 70)
	}
}
