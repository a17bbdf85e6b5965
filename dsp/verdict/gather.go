package verdict

import "math"

// Counted words one finding about all channels in which something was counted,
// with their sum; none where nothing was.
func (s Signal) Counted(count func(c int) int64, word func(w Where, sum int64) Finding) []Finding {
	sum := int64(0)
	where, any := s.Which(func(c int) bool {
		sum += count(c)
		return count(c) > 0
	})
	if !any {
		return nil
	}
	return []Finding{word(where, sum)}
}

// Beyond words one finding about all channels in which a value is further from
// zero than a limit, with the furthest; none where none is.
func (s Signal) Beyond(limit float64, value func(c int) float64, word func(w Where, furthest float64) Finding) []Finding {
	furthest := 0.0
	where, any := s.Which(func(c int) bool {
		v := value(c)
		if math.Abs(v) > math.Abs(furthest) {
			furthest = v
		}
		return math.Abs(v) > limit
	})
	if !any {
		return nil
	}
	return []Finding{word(where, furthest)}
}

// Humming is the mains hum of a channel.
type Humming struct {
	Present   bool
	MainsHz   int
	LevelDBFS float64
}

// Hums words one finding about all channels that hum, with the loudest: so far
// under a voice, or, where there is none (NaN), alone.
func (s Signal) Hums(hum func(c int) Humming, voiceDBFS float64) []Finding {
	loudest := Humming{LevelDBFS: math.Inf(-1)}
	where, any := s.Which(func(c int) bool {
		h := hum(c)
		if h.Present && h.LevelDBFS > loudest.LevelDBFS {
			loudest = h
		}
		return h.Present
	})
	switch {
	case !any:
		return nil
	case math.IsNaN(voiceDBFS):
		return []Finding{HumAlone(where, loudest.MainsHz, loudest.LevelDBFS)}
	}
	under := voiceDBFS - loudest.LevelDBFS
	return []Finding{MainsHum(HumSeverity(under), where, loudest.MainsHz, loudest.LevelDBFS, under)}
}
