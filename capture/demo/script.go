package demo

import "math/rand/v2"

// part is a stretch of speech with steady aims. The voice glides from one
// part's aims to the next, which joins the sounds as a mouth does.
type part struct {
	seconds float64
	pitchHz float64
	voiced  float64 // loudness of the vocal folds; 1 is ordinary speech
	hiss    float64 // loudness of the teeth: s, f
	breath  float64 // air through the open mouth
	mouth   vowel
}

// vowel holds the lowest three formants in Hz.
type vowel [3]float64

// vowels are averages of men's speech (Peterson and Barney 1952; from memory).
var vowels = [...]vowel{
	{270, 2290, 3010}, {390, 1990, 2550}, {530, 1840, 2480}, {660, 1720, 2410}, {730, 1090, 2440},
	{570, 840, 2410}, {440, 1020, 2240}, {300, 870, 2240}, {640, 1190, 2390},
}

// closed is the mouth of m and n, and of the pause.
var closed = vowel{250, 1200, 2300}

const (
	pitchHz       = 120.0
	shoutEvery    = 6   // each so many phrases one ends in a call far too loud
	shoutLoudness = 9.0 // 19 dB above speech: into full scale
)

// script makes up phrases: breath, syllables, pause. The same seed says the
// same.
type script struct {
	random  *rand.Rand
	phrases int
	queue   []part // of the present phrase
	at      int    // next of them
}

func newScript() *script { return &script{random: rand.New(rand.NewPCG(seed, 1))} }

// next gives the next part.
func (s *script) next() part {
	if s.at == len(s.queue) {
		s.queue, s.at = s.queue[:0], 0
		s.phrase()
	}
	s.at++
	return s.queue[s.at-1]
}

// between gives a random number in [low, high).
func (s *script) between(low, high float64) float64 { return low + (high-low)*s.random.Float64() }

func (s *script) vowel() vowel { return vowels[s.random.IntN(len(vowels))] }

func (s *script) add(p part) { s.queue = append(s.queue, p) }

func (s *script) phrase() {
	s.phrases++
	s.add(part{seconds: s.between(0.25, 0.4), breath: 1, pitchHz: pitchHz, mouth: vowels[8]})
	s.add(part{seconds: 0.08, pitchHz: pitchHz * 1.1, mouth: closed})
	syllables := 5 + s.random.IntN(9)
	for i := range syllables {
		// The melody falls over a phrase; every third syllable or so is stressed.
		pitch := pitchHz * (1.12 - 0.25*float64(i)/float64(syllables)) * s.between(0.96, 1.04)
		stress := 0.75
		if s.random.IntN(3) == 0 {
			pitch, stress = pitch*1.12, 1.1
		}
		s.syllable(pitch, stress)
	}
	if s.phrases%shoutEvery == 0 {
		s.add(part{seconds: 0.45, pitchHz: pitchHz * 1.7, voiced: shoutLoudness, mouth: vowels[3]})
	}
	pause := s.between(0.4, 1)
	if s.random.IntN(3) == 0 {
		pause += s.between(0.8, 1.8)
	}
	s.add(part{seconds: pause, pitchHz: pitchHz, mouth: closed})
}

func (s *script) syllable(pitch, stress float64) {
	p := part{seconds: s.between(0.05, 0.1), pitchHz: pitch, mouth: closed}
	switch s.random.IntN(4) {
	case 0:
		p.hiss = s.between(0.5, 1)
	case 1:
		p.voiced = 0.35 // m, n, l
	case 2:
		p.seconds = 0.04 // the closing before p, t, k
	default:
		p.mouth, p.voiced = s.vowel(), 0.5
	}
	s.add(p)
	s.add(part{seconds: s.between(0.09, 0.2), pitchHz: pitch, voiced: stress, mouth: s.vowel()})
}
