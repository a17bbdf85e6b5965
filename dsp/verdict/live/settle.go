package live

import (
	"rollready/dsp/hearing"
	"rollready/dsp/verdict"
)

const keptSeconds = hearing.KeptSeconds

// settle lets a new sentence through once it has held, and the old one has
// stood, long enough.
func (j *Judge) settle(next verdict.Finding) {
	if next.Same(j.said) {
		j.figure(next)
		return
	}
	if !next.Same(j.next) {
		j.nextSince = j.now
	}
	j.next = next
	held, stood := j.now-j.nextSince, j.now-j.saidSince
	graver := next.Severity.Graver(j.said.Severity)
	switch {
	case graver && next.Severity == verdict.Stop:
	case held < settleSeconds/2:
		return
	case held >= settleSeconds && (graver || next.Severity == verdict.Stop && verdict.Compare(next, j.said) < 0):
	case held >= settleSeconds && j.said.Code == verdict.Speak: // all else was waited for long enough
	case j.now-j.changed < 2*staySeconds:
	case stood >= staySeconds && held >= staySeconds:
	default:
		return
	}
	j.say(next)
}

// figure says the same again with another figure: a larger one soon, a smaller
// one late.
func (j *Judge) figure(next verdict.Finding) {
	moved := abs(next.ByDB) - abs(j.said.ByDB)
	if abs(moved) < newFigureDB {
		j.next, j.nextSince = j.said, j.now
		if next.ByDB == 0 && next.Line != j.said.Line && j.now-j.saidSince >= staySeconds { // another age
			j.say(next)
		}
		return
	}
	if !j.next.Same(next) || abs(abs(j.next.ByDB)-abs(j.said.ByDB)) < newFigureDB {
		j.nextSince = j.now
	}
	j.next = next
	patience := staySeconds
	if moved < 0 && j.now-j.changed > 2*staySeconds {
		patience = fadeSeconds
	}
	if j.now-j.nextSince >= patience || j.now-j.changed < staySeconds {
		j.say(next)
	}
}

func (j *Judge) say(f verdict.Finding) {
	j.said, j.next, j.saidSince, j.nextSince = f, f, j.now, j.now
}

func abs(n int) int { return max(n, -n) }
