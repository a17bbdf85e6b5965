package survey

import (
	"math"
	"math/rand/v2"
	"testing"

	"rollready/capture/wavfile"
	"rollready/dsp/filter"
	"rollready/dsp/verdict"
)

// setting is a voice in its room, to which a fault is done.
type setting struct {
	who  speaker
	k    int       // which one
	dry  []float64 // the voice alone, three seconds of quiet before it
	room float64   // dBFS
}

// wet is the voice in its room.
func (s setting) wet() []float64 { return roomy(s.dry, s.room, uint64(s.k)) }

// talking gives a place at which the voice is loud, the nth of it.
func (s setting) talking(n int) int {
	r := rand.New(rand.NewPCG(uint64(s.k), uint64(n)))
	for range 10000 {
		at := 3*rate + r.IntN(len(s.dry)-5*rate)
		if rmsAt(s.dry, at) > -30 {
			return at
		}
	}
	return 4 * rate
}

func rmsAt(x []float64, at int) float64 {
	sum := 0.0
	for _, v := range x[at-480 : at+480] {
		sum += v * v
	}
	return 10*math.Log10(sum/960+1e-20) + 3.01
}

// kind is a fault to be graded.
type kind struct {
	name    string
	rounds  int // how often each voice is heard with it, in another strength
	make    func(s setting, round int) [][]float64
	file    func(t testing.TB, s setting, round int) string // instead, where it is no plain file
	whisper bool
	want    verdict.Code
	may     []verdict.Code
	on      int
}

// scene makes a file of a kind.
func (k kind) scene(t testing.TB, v, round int) graded {
	who := voices[v%len(voices)]
	if k.whisper {
		who = whisperers[v%len(whisperers)]
	}
	s := setting{who: who, k: v + 100*round, dry: onStage(t, who, rate), room: -66 - 3*float64((v+round)%4)}
	path := ""
	if k.file != nil {
		path = k.file(t, s, round)
	} else {
		path = write(t, rate, wavfile.PCM24, k.make(s, round)...)
	}
	return graded{kind: k.name, name: who.name + " " + string(rune('1'+round)), want: k.want, may: k.may, channel: k.on,
		path: path}
}

func mono(x []float64) [][]float64 { return [][]float64{x} }

// each does something at so many places where the voice is loud.
func (s setting) each(x []float64, places int, do func(x []float64, at int)) []float64 {
	y := append([]float64(nil), x...)
	for n := range places {
		do(y, s.talking(n))
	}
	return y
}

const msec = rate / 1000

// coupled takes off what lies under a frequency, as a capacitor does.
func coupled(x []float64, hz float64) []float64 {
	y, r := make([]float64, len(x)), math.Exp(-2*math.Pi*hz/rate)
	for i := 1; i < len(x); i++ {
		y[i] = r*y[i-1] + x[i] - x[i-1]
	}
	return y
}

func soft(x []float64, driveDB float64) []float64 {
	y := scale(x, driveDB)
	for i, v := range y {
		y[i] = 0.5 * math.Tanh(v/0.5)
	}
	return y
}

// popped is a thump at every third beginning of a word, as the breath of a p or b
// makes it: some 25 Hz for a tenth of a second.
func popped(s setting, height float64) []float64 {
	x, quiet, word := make([]float64, len(s.dry)), 0, 0
	for i, v := range s.dry {
		if math.Abs(v) < 0.01 {
			quiet++
			continue
		}
		if quiet > 60*msec {
			if word++; word%3 == 0 {
				for k := 0; k < 200*msec && i+k < len(x); k++ {
					t := float64(k) / rate
					x[i+k] += height * math.Sin(2*math.Pi*25*t) * min(1, t/0.004) * math.Exp(-t/0.035)
				}
			}
		}
		quiet = 0
	}
	return x
}

// buzz is what a telephone's transmitter does to a cable: 0.58 ms in every
// 4.615 ms (3GPP TS 45.002: eight slots of 15/26 ms a frame), of a level in dBFS.
func buzz(dBFS float64, frames int, onOff float64) []float64 {
	x := make([]float64, frames)
	for i := range x {
		t := float64(i) / rate
		if math.Mod(t, 0.06/13) < 0.015/26 && (onOff == 0 || math.Mod(t, 2*onOff) < onOff) {
			x[i] = 1
		}
	}
	x = coupled(x, 60)
	return scale(x, dBFS-rms(x))
}

var faults = []kind{
	{name: "clipped at -0.3 dBFS", rounds: 3, want: verdict.FlatTopped, on: 0, may: []verdict.Code{verdict.TooHot, verdict.InputClipped},
		make: func(s setting, k int) [][]float64 {
			return mono(clip(s.wet(), 12+3*float64(k), math.Pow(10, -0.3/20)))
		}},
	{name: "clipped at -0.1 to -3 dBFS", rounds: 3, want: verdict.FlatTopped, on: 0, may: []verdict.Code{verdict.TooHot},
		make: func(s setting, k int) [][]float64 {
			return mono(clip(s.wet(), 14, math.Pow(10, -[]float64{0.1, 1, 3}[k]/20)))
		}},
	{name: "flat tops, AC 5-20 Hz", rounds: 3, want: verdict.FlatTopped, on: 0, may: []verdict.Code{verdict.TooHot, verdict.NoiseHigh},
		make: func(s setting, k int) [][]float64 {
			return mono(coupled(clip(s.wet(), 14, 0.5), []float64{5, 10, 20}[k]))
		}},
	{name: "soft clipping (tanh)", rounds: 3, want: verdict.FlatTopped, on: 0,
		make: func(s setting, k int) [][]float64 { return mono(soft(s.wet(), []float64{14, 18, 24}[k])) }},
	{name: "one channel dead 50 ms", rounds: 3, want: verdict.Dropouts, on: 2,
		make: func(s setting, k int) [][]float64 {
			return [][]float64{s.wet(), s.each(roomy(s.dry, s.room, 5), 1+k, func(x []float64, at int) { clear(x[at : at+50*msec]) })}
		}},
	{name: "zeros, converter noise", rounds: 3, want: verdict.Dropouts, on: 0,
		make: func(s setting, k int) [][]float64 {
			x := s.each(s.wet(), 2, func(x []float64, at int) { clear(x[at : at+[]int{5, 20, 100}[k]*msec]) })
			return mono(add(x, white(-95, len(x), 3)))
		}},
	{name: "repeated blocks", rounds: 3, want: verdict.Dropouts, on: 0,
		make: func(s setting, k int) [][]float64 {
			n := []int{256, 480, 1024}[k]
			return mono(s.each(s.wet(), 3, func(x []float64, at int) { copy(x[at:at+n], append([]float64(nil), x[at-n:at]...)) }))
		}},
	{name: "held samples", rounds: 3, want: verdict.Dropouts, on: 0,
		make: func(s setting, k int) [][]float64 {
			return mono(s.each(s.wet(), 4, func(x []float64, at int) {
				for i := range []int{2, 5, 10}[k] * msec {
					x[at+i] = x[at]
				}
			}))
		}},
	{name: "skips", rounds: 3, want: verdict.Dropouts, on: 0,
		make: func(s setting, k int) [][]float64 {
			x := s.wet()
			for n := range 6 {
				at := s.talking(n)
				x = append(x[:at:at], x[at+[]int{64, 480, 1024}[k]:]...)
			}
			return mono(x)
		}},
	{name: "clicks", rounds: 3, want: verdict.Dropouts, on: 0, may: []verdict.Code{verdict.TooHot},
		make: func(s setting, k int) [][]float64 {
			return mono(s.each(s.wet(), 4, func(x []float64, at int) { x[at] += []float64{0.15, 0.3, -0.8}[k] }))
		}},
	{name: "intermittent cable", rounds: 3, want: verdict.Dropouts, on: 0,
		make: func(s setting, k int) [][]float64 {
			x := s.each(s.wet(), 15, func(x []float64, at int) {
				for i := range 5 * msec {
					edge := min(1, float64(min(i, 5*msec-1-i))/float64([]int{1, 5, 10}[k]))
					x[at+i] *= 1 - edge
				}
			})
			return mono(add(x, white(-92, len(x), 3)))
		}},
	{name: "crosstalk at -30 to -38 dB", rounds: 3, want: verdict.Leaks, on: 2,
		make: func(s setting, k int) [][]float64 {
			x := s.wet()
			leak := scale(x, []float64{-30, -35, -38}[k])
			if s.k%2 == 1 { // through a capacity it is brighter
				leak = scale(coupled(leak, 300), 2)
			}
			return [][]float64{x, add(leak, white(-70-3*float64(k), len(x), uint64(s.k)+50))}
		}},
	{name: "wind", rounds: 3, want: verdict.Rumble, on: 0, may: []verdict.Code{verdict.TooHot},
		make: func(s setting, k int) [][]float64 {
			return mono(add(s.wet(), gusts(deep(-38+6*float64(k), 25, len(s.dry), uint64(s.k)))))
		}},
	{name: "rumble", rounds: 3, want: verdict.Rumble, on: 0, may: []verdict.Code{verdict.TooHot},
		make: func(s setting, k int) [][]float64 {
			return mono(add(s.wet(), deep(-38+5*float64(k), []float64{22, 25, 30}[k], len(s.dry), uint64(s.k))))
		}},
	{name: "pops and thumps", rounds: 3, want: verdict.Rumble, on: 0, may: []verdict.Code{verdict.TooHot},
		make: func(s setting, k int) [][]float64 {
			return mono(add(s.wet(), popped(s, 0.12+0.1*float64(k))))
		}},
	{name: "radio buzz", rounds: 3, want: verdict.Hum, on: 0, may: []verdict.Code{verdict.NoiseHigh},
		make: func(s setting, k int) [][]float64 {
			return mono(add(s.wet(), buzz(-19-25, len(s.dry), []float64{0, 1, 2}[k])))
		}},
}

// squeezed is a limiter: gain, then the level held under a ceiling by turning
// down fast and up slowly.
func squeezed(x []float64, driveDB, ceiling float64) []float64 {
	y := scale(x, driveDB)
	env, release := 0.0, math.Exp(-1/(0.08*rate))
	ahead := 96
	for i := range y {
		env = max(env*release, math.Abs(y[min(i+ahead, len(y)-1)]))
		y[i] *= min(1, ceiling/max(env, 1e-9))
	}
	return y
}

// ulaw rounds as a telephone's code does (ITU-T G.711, from memory).
func ulaw(x []float64) []float64 {
	y := make([]float64, len(x))
	for i, v := range x {
		m := min(int(math.Abs(v)*32635), 32635) + 132
		shift := 0
		for m>>(shift+8) > 0 {
			shift++
		}
		step := m >> (shift + 3) & 15
		y[i] = math.Copysign(float64(((step<<3+132)<<shift)-132)/32768, v)
	}
	return y
}

// faultless is what nothing is wrong with.
var faultless = []kind{
	{name: "clean", rounds: 3, make: func(s setting, k int) [][]float64 { return mono(s.wet()) }},
	{name: "clean, pink room", rounds: 3, make: func(s setting, k int) [][]float64 {
		return mono(add(s.dry, pink(-46-2*float64(k), len(s.dry), uint64(s.k))))
	}, may: []verdict.Code{verdict.NoiseHigh}},
	{name: "clean at 8-192 kHz", rounds: 3, file: func(t testing.TB, s setting, k int) string {
		to := [][]int{{8000, 16000, 22050}, {32000, 44100, 88200}, {96000, 176400, 192000}}[k][s.k%3]
		return write(t, to, wavfile.PCM16, rerated(s.wet(), rate, to))
	}},
	{name: "high-passed at 60-120 Hz", rounds: 3, make: func(s setting, k int) [][]float64 {
		return mono(highPassed(s.wet(), []float64{60, 80, 120}[k], 24))
	}},
	{name: "telephone, u-law", rounds: 3, make: func(s setting, k int) [][]float64 {
		x := highPassed(s.wet(), 300, 24)
		return mono(ulaw(filtered(x, filter.LowPass(filter.Cut{Hz: 3400, Slope: 24}, rate))))
	}},
	{name: "compressed", rounds: 3, make: func(s setting, k int) [][]float64 {
		return mono(scale(squeezed(s.wet(), 6+4*float64(k), 0.5), 0))
	}},
	{name: "two microphones", rounds: 3, make: func(s setting, k int) [][]float64 {
		far := scale(filtered(s.dry, filter.LowPass(filter.Cut{Hz: 6000, Slope: 12}, rate)), -12-9*float64(k))
		late := append(make([]float64, (2+3*k)*msec), far...)[:len(far)]
		echo := append(make([]float64, 23*msec), scale(far, -8)...)[:len(far)]
		return [][]float64{s.wet(), roomy(add(late, echo), s.room, uint64(s.k)+60)}
	}},
	{name: "hard gate", rounds: 3, make: func(s setting, k int) [][]float64 {
		return mono(add(gated(s.wet(), -45+5*float64(k)), white(-90, len(s.dry), 8)))
	}},
	{name: "codecs", rounds: 3, file: func(t testing.TB, s setting, k int) string {
		path := write(t, rate, wavfile.PCM16, s.wet())
		return coded(t, path, []string{"mp3", "m4a", "opus"}[k], "-b:a", "96k")
	}},
	{name: "ADPCM at 8 kHz", rounds: 3, file: func(t testing.TB, s setting, k int) string {
		path := write(t, 8000, wavfile.PCM16, rerated(s.wet(), rate, 8000))
		return coded(t, path, "wav", "-c:a", []string{"adpcm_ms", "adpcm_ima_wav", "pcm_u8"}[k])
	}, may: []verdict.Code{verdict.NoiseHigh}},
	{name: "music bed under it", rounds: 3, make: func(s setting, k int) [][]float64 {
		x := music(len(s.dry), 2)
		return mono(add(s.wet(), scale(x, -9-20*math.Log10(peakOf(x))-18-3*float64(k))))
	}, may: []verdict.Code{verdict.NoiseHigh}},
	{name: "whispering 30-45 dB over", rounds: 9, whisper: true, make: func(s setting, k int) [][]float64 {
		x := append([]float64(nil), s.dry...)
		return mono(roomy(x, rms(x)-32-float64(k), uint64(s.k)))
	}},
	{name: "9 s of speech in 110 s", rounds: 3, make: func(s setting, k int) [][]float64 {
		x := make([]float64, 110*rate-k*rate/2)
		copy(x[(20+10*k)*rate:], s.dry[3*rate:min(len(s.dry), 12*rate)])
		return mono(roomy(x, -52, uint64(s.k)))
	}, may: []verdict.Code{verdict.NoiseHigh}},
}

// gated shuts off what lies under a level, at once, after 60 ms.
func gated(x []float64, dBFS float64) []float64 {
	y, open := make([]float64, len(x)), 0
	for i, v := range x {
		if math.Abs(v) > math.Pow(10, dBFS/20) {
			open = 60 * msec
		}
		if open > 0 {
			y[i] = v
			open--
		}
	}
	return y
}
