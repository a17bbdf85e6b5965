// Package twovoices makes tests two people with a microphone each: two voices,
// each in its own microphone and, later and weaker, in the other's, over a room,
// by arithmetic; and scenes in which one thing is wrong with one of them.
package twovoices

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
)

// Fault is what is wrong in a scene.
type Fault string

// The faults. None is wrong with the names but in Swapped.
const (
	Clean    Fault = "clean"
	Quiet    Fault = "too quiet"
	Clipped  Fault = "clipped"
	Dead     Fault = "dead"
	Swapped  Fault = "swapped"
	Inverted Fault = "inverted"
	Spill    Fault = "heavy spill"
)

// Scene is two people before two microphones. Levels are in dB, of the voice in
// the own microphone with its speech peaks at full scale.
type Scene struct {
	Fault  Fault
	Who    int // whose microphone it is wrong with, from 0
	Voices [2]Speaker

	PreampDB [2]float64 // of each microphone
	NearDB   [2]float64 // of each voice in the own microphone: 0 where it hangs as it should
	SpillDB  [2]float64 // of each voice in the other microphone
	Later    [2]int     // frames, the same
	RoomDB   float64    // noise of the room in each microphone, of its rms
	EchoDB   float64    // of the room's echoes, of either voice in either microphone
	HissDB   float64    // noise of each converter, behind the preamplifier; 0: none
	DeadDB   float64    // noise that a dead microphone gives
	seed     uint64
}

// Name says what is in a scene.
func (s Scene) Name() string {
	return fmt.Sprintf("%s, %s and %s, %d", s.Fault, s.Voices[0].Name, s.Voices[1].Name, s.Who+1)
}

// Scenes gives so many of a kind, all different: voices, preamplifiers some dB
// apart, spill from −14 to −30 dB, and whose microphone it is.
func Scenes(f Fault, count int) (list []Scene) {
	for k := range count {
		x := float64(k % 5)
		s := Scene{Fault: f, Who: k % 2, Voices: [2]Speaker{Speakers[k%5], Speakers[(k+1+k/5%4)%5]}, seed: uint64(100 + k),
			PreampDB: [2]float64{-7 - x/2, -9 + x/2}, SpillDB: [2]float64{-14 - 4*x, -15 - 3*x}, Later: [2]int{70 + 30*k%200, 90 + 20*k%150},
			RoomDB: -58 - x, EchoDB: -30 - x}
		switch own := &s.PreampDB[s.Who]; f {
		case Quiet:
			*own -= 14 + 3*x
		case Clipped:
			*own += 18 + x
		case Dead:
			s.DeadDB = []float64{-200, -100, -93, -72, -68}[k%5]
		case Inverted: // as far as anybody hears it
			s.SpillDB = [2]float64{-14 - x, -15 - x/2}
		case Spill:
			s.NearDB[s.Who], s.SpillDB[1-s.Who] = -10-x/2, -14
			*own += 10 + x/2
		}
		list = append(list, s)
	}
	return list
}

// Sixty are the scenes that judges are graded by.
func Sixty() (all []Scene) {
	for _, of := range []struct {
		Fault
		count int
	}{{Clean, 20}, {Quiet, 8}, {Clipped, 8}, {Dead, 8}, {Swapped, 6}, {Inverted, 5}, {Spill, 5}} {
		all = append(all, Scenes(of.Fault, of.count)...)
	}
	return all
}

// Turn is who speaks, for how long; Nobody: nobody does.
type Turn struct {
	Who     int
	Seconds float64
}

// Nobody speaks.
const Nobody = -1

// Mics gives what both microphones deliver in so many turns.
func (s Scene) Mics(t testing.TB, turns ...Turn) [][]float64 {
	var voice [2][]float64
	var at [2]int
	for _, turn := range turns {
		for who := range voice {
			words := s.Voices[who].spoken(t)
			for range scene.Frames(turn.Seconds, RateHz) {
				x := 0.0
				if turn.Who == who {
					x = words[at[who]%len(words)]
					at[who]++
				}
				voice[who] = append(voice[who], x)
			}
		}
	}
	mics := [][]float64{s.mic(0, voice), s.mic(1, voice)}
	if s.Fault == Swapped {
		mics[0], mics[1] = mics[1], mics[0]
	}
	return mics
}

// mic is what one microphone delivers.
func (s Scene) mic(m int, voice [2][]float64) []float64 {
	seconds := float64(len(voice[m])) / RateHz
	if s.Fault == Dead && s.Who == m {
		return scene.Noise(s.DeadDB, seconds, RateHz, s.seed)
	}
	x := scene.Noise(s.RoomDB, seconds, RateHz, s.seed+uint64(m))
	add(x, voice[m], s.NearDB[m], 0)
	add(x, voice[1-m], s.SpillDB[1-m], s.Later[1-m])
	r := rand.New(rand.NewPCG(s.seed, uint64(m)))
	for _, v := range voice {
		for range 6 {
			late := 100 + r.IntN(1500)
			add(x, v, s.EchoDB-float64(late)/100, late)
		}
	}
	x = scene.Scale(x, s.PreampDB[m])
	if s.HissDB != 0 {
		x = scene.Add(x, scene.Noise(s.HissDB, seconds, RateHz, s.seed+9+uint64(m)))
	}
	for i, v := range x {
		if x[i] = max(-1, min(v, 1)); s.Fault == Inverted && s.Who == m {
			x[i] = -x[i]
		}
	}
	return x
}

// add adds a sound at a level, so many frames later.
func add(to, x []float64, gainDB float64, later int) {
	factor := db.ToAmplitude(gainDB)
	for i := later; i < len(to); i++ {
		to[i] += factor * x[i-later]
	}
}
