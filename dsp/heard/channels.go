package heard

import (
	"math"

	"rollready/dsp/pair"
	"rollready/dsp/verdict"
)

// Channels judges channels beside that of the voice, ch: without a voice, or
// against it. apart is how far the voice in another channel lies under it, dB.
func Channels(in verdict.Signal, ch int, apart func(other int) float64, pairs *pair.Group) []verdict.Finding {
	switch in.Channels {
	case 1:
		return nil
	case 2:
		other, both := 1-ch, pairs.Of(0, 1)
		return verdict.Pair(apart(other), in.Name(ch), in.Name(other), both.Correlation(), both.MonoDB())
	}
	dead := func(c int) bool { return c != ch && apart(c) > verdict.DeadDB }
	found := []verdict.Finding{}
	if w, any := in.Which(dead); any {
		alive, _ := in.Which(func(c int) bool { return !dead(c) })
		found = append(found, verdict.Dead(w, alive))
	}
	leaks := func(c int) bool {
		return c != ch && !dead(c) && verdict.IsCrosstalk(apart(c), pairs.Of(c, ch).Correlation())
	}
	if w, any := in.Which(leaks); any {
		found = append(found, verdict.Crosstalk(w, in.Name(ch), nearest(in, leaks, apart)))
	}
	turned := func(c int) bool {
		return c != ch && !dead(c) && !leaks(c) && pairs.Of(c, ch).Correlation() < verdict.InvertedAt
	}
	if w, any := in.Which(turned); any {
		found = append(found, verdict.Turned(w, in.Name(ch)))
	}
	return found
}

// nearest is the least distance of some channels to that of the voice.
func nearest(in verdict.Signal, of func(c int) bool, apart func(other int) float64) float64 {
	least := math.Inf(1)
	for c := range in.Channels {
		if of(c) {
			least = min(least, apart(c))
		}
	}
	return least
}
