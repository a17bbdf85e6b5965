// Package openmetrics shows a rig's levels and conditions to monitoring
// systems, in the OpenMetrics text format over HTTP, so that a crew watches
// several laptops from one place.
//
// A scrape reads the newest state and nothing else: it can't slow the sound or
// a screen, changes nothing and reaches no file. Names and units follow
// Prometheus' conventions; levels are in decibels, as there is no base unit
// for them. What is silent (−∞) is exported as -Inf, what is unknown is left
// out.
package openmetrics

import (
	"math"
	"strconv"

	"github.com/prometheus/client_golang/prometheus"

	"rollready/capture/rig"
	"rollready/dsp"
)

// collector tells a scrape what the rig shows at that moment.
type collector struct{ state func() rig.State }

// gauge is one figure, or one for each channel.
type gauge struct {
	desc   *prometheus.Desc
	kind   prometheus.ValueType
	values func(s *rig.State, put func(value float64, labels ...string))
}

func describe(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("rollready_"+name, help, labels, nil)
}

// of is a figure of the whole; unknown tells that there is none now.
func of(name, help string, value func(s *rig.State) (v float64, known bool)) gauge {
	return gauge{describe(name, help), prometheus.GaugeValue, func(s *rig.State, put func(float64, ...string)) {
		if v, known := value(s); known {
			put(v)
		}
	}}
}

// total is a count since the start.
func total(name, help string, value func(s *rig.State) int64) gauge {
	return gauge{describe(name, help), prometheus.CounterValue, func(s *rig.State, put func(float64, ...string)) {
		put(float64(value(s)))
	}}
}

// each is a figure of each input channel, numbered from 1.
func each(name, help string, value func(s *rig.State, channel int) float64) gauge {
	return numbered(name, help, func(r *dsp.Reading) int { return r.Channels }, value)
}

// fed is a figure of each channel that the camera gets, alike.
func fed(name, help string, value func(s *rig.State, channel int) float64) gauge {
	return numbered(name, help, func(r *dsp.Reading) int { return r.Fed }, value)
}

func numbered(name, help string, channels func(*dsp.Reading) int, value func(s *rig.State, channel int) float64) gauge {
	return gauge{describe(name, help, "channel"), prometheus.GaugeValue, func(s *rig.State, put func(float64, ...string)) {
		for c := range channels(&s.Reading) {
			put(value(s, c), strconv.Itoa(c+1))
		}
	}}
}

func level(of func(r *dsp.Reading, channel int) float64) func(*rig.State, int) float64 {
	return func(s *rig.State, c int) float64 { return of(&s.Reading, c) }
}

func yes(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

var gauges = []gauge{
	each("input_true_peak_dbtp", "True peak at the input, falling like a meter.", level(func(r *dsp.Reading, c int) float64 { return r.Input[c].TruePeakDBTP })),
	each("input_rms_dbfs", "Level at the input after AES17.", level(func(r *dsp.Reading, c int) float64 { return r.Input[c].RMSDBFS })),
	each("input_clipped_runs", "Runs at full scale at the input since the meters were reset.", level(func(r *dsp.Reading, c int) float64 { return float64(r.Input[c].ClippedRuns) })),
	each("output_true_peak_dbtp", "True peak behind the chain.", level(func(r *dsp.Reading, c int) float64 { return r.Output[c].TruePeakDBTP })),
	fed("camera_peak_dbfs", "Peak on the camera's scale.", level(func(r *dsp.Reading, c int) float64 { return r.Camera[c].PeakDBFS })),
	fed("camera_headroom_decibels", "From the present peak to the camera's clip point.", level(func(r *dsp.Reading, c int) float64 { return r.Camera[c].HeadroomDB })),
	of("loudness_momentary_lufs", "Momentary loudness after ITU-R BS.1770.", func(s *rig.State) (float64, bool) { return s.Reading.Loudness.MomentaryLUFS, true }),
	of("loudness_integrated_lufs", "Integrated loudness since the meters were reset.", func(s *rig.State) (float64, bool) { return s.Reading.Loudness.IntegratedLUFS, true }),
	of("input_lost", "1 while the input is away.", func(s *rig.State) (float64, bool) { return yes(s.Status.Lost), true }),
	of("camera_fed", "1 while an output plays to the camera.", func(s *rig.State) (float64, bool) { return yes(s.ToCamera.Open && !s.ToCamera.Lost), true }),
	of("take_rolling", "1 while a take rolls.", func(s *rig.State) (float64, bool) { return yes(s.Rec.Rolling), true }),
	of("take_elapsed_seconds", "Length of the take that rolls.", func(s *rig.State) (float64, bool) { return s.Rec.Elapsed.Seconds(), s.Rec.Rolling }),
	of("disk_free_bytes", "Room for takes.", func(s *rig.State) (float64, bool) { return float64(s.Rec.DiskFree), s.Rec.DiskFree >= 0 }),
	of("battery_charge_ratio", "Charge of the battery, 0 to 1.", func(s *rig.State) (float64, bool) { return float64(s.Battery.Percent) / 100, s.Battery.Percent > 0 }),
	total("metered_frames_total", "Frames metered.", func(s *rig.State) int64 { return s.Reading.Frames }),
	total("dropped_frames_total", "Frames lost: the computer was too slow, or they never came.", func(s *rig.State) int64 { return s.Status.Dropouts }),
	total("input_returns_total", "How often a lost input came back.", func(s *rig.State) int64 { return int64(s.Status.Returns) }),
}

var (
	info      = describe("input_info", "The input in use.", "source", "kind")
	condition = describe("condition", "1 for each thing that is worth knowing now; the labels say what.", "code", "severity")
)

// Describe sends every name.
func (c collector) Describe(ch chan<- *prometheus.Desc) {
	ch <- info
	ch <- condition
	for _, g := range gauges {
		ch <- g.desc
	}
}

// Collect sends every figure of the newest state.
func (c collector) Collect(ch chan<- prometheus.Metric) {
	s := c.state()
	ch <- prometheus.MustNewConstMetric(info, prometheus.GaugeValue, 1, s.Status.Source, string(s.Status.Kind))
	told := map[[2]string]bool{}
	for _, f := range s.Conditions {
		key := [2]string{string(f.Code), string(f.Severity)}
		if !told[key] {
			told[key] = true
			ch <- prometheus.MustNewConstMetric(condition, prometheus.GaugeValue, 1, key[0], key[1])
		}
	}
	for _, g := range gauges {
		g.values(&s, func(v float64, labels ...string) {
			if !math.IsNaN(v) {
				ch <- prometheus.MustNewConstMetric(g.desc, g.kind, v, labels...)
			}
		})
	}
}
