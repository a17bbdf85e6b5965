package capture

import (
	"fmt"
	"slices"
	"strings"
)

// Pick chooses the chain's channels out of a source's. The zero Pick takes
// the first two, or the only one.
type Pick string

// Picks other than a single channel's number ("1", "2", …).
const (
	Auto   Pick = ""
	Stereo Pick = "1+2"
	Mix    Pick = "mix" // mean of all channels
)

// ParsePick reads "1", "2", …, "1+2" (any pair "n+m"), "mix" or "".
func ParsePick(s string) (Pick, error) {
	p := Pick(strings.TrimSpace(s))
	if p == Auto || p == Mix {
		return p, nil
	}
	a, b, pair := strings.Cut(string(p), "+")
	if number(a) == 0 || pair && number(b) == 0 {
		return Auto, fmt.Errorf("channels %q: choose a channel number, a pair like 1+2, or mix", s)
	}
	return p, nil
}

func number(s string) int {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' || n > 99 {
			return 0
		}
		n = 10*n + int(r-'0')
	}
	return n
}

// Picker copies the picked channels of a source's frames.
type Picker struct {
	source int
	from   [2]int // source channel of each picked one; from[0] < 0 is the mix
	picked int
}

// NewPicker applies a Pick to a source of so many channels. The error names
// the channel that is missing.
func NewPicker(p Pick, sourceChannels int) (*Picker, error) {
	k := &Picker{source: sourceChannels, picked: 1}
	switch a, b, pair := strings.Cut(string(p), "+"); {
	case p == Mix:
		k.from[0] = -1
	case p == Auto:
		k.picked, k.from = min(2, sourceChannels), [2]int{0, 1}
	case pair:
		k.picked, k.from = 2, [2]int{number(a) - 1, number(b) - 1}
	default:
		k.from[0] = number(a) - 1
	}
	for _, c := range k.from[:k.picked] {
		if c >= sourceChannels || c < -1 {
			return nil, fmt.Errorf("channel %d: the input has %d", c+1, sourceChannels)
		}
	}
	return k, nil
}

// Channels is the number of channels picked: 1 or 2.
func (k *Picker) Channels() int { return k.picked }

// Sources are the channels of the source, from 0, that were picked; nil for
// the mix.
func (k *Picker) Sources() []int {
	if k.from[0] < 0 {
		return nil
	}
	return slices.Clone(k.from[:k.picked])
}

// Copy fills dst with the picked channels of src and gives the filled part.
// dst must hold the frames of src. Audio thread: does not allocate.
func (k *Picker) Copy(dst, src []float32) []float32 {
	frames := len(src) / k.source
	dst = dst[:frames*k.picked]
	if k.source == k.picked && k.from == [2]int{0, k.picked - 1} { // all of them, as they lie
		copy(dst, src)
		return dst
	}
	for i := range frames {
		frame := src[i*k.source : (i+1)*k.source]
		if k.from[0] < 0 {
			dst[i] = mean(frame)
			continue
		}
		for c := range k.picked {
			dst[i*k.picked+c] = frame[k.from[c]]
		}
	}
	return dst
}

func mean(frame []float32) float32 {
	var sum float32
	for _, x := range frame {
		sum += x
	}
	return sum / float32(len(frame))
}
