package compare

import (
	"fmt"
	"math/big"
	"math/rand/v2"
)

// MaxRounds is the most rounds a trial may have.
const MaxRounds = 100

// Trial is a blind trial: in each round X is A or B at random, and the person
// says which. A plain value of one goroutine.
type Trial struct {
	x       []Side
	answers []Side
}

// NewTrial draws the Xs of 1 to MaxRounds rounds.
func NewTrial(rounds int, r *rand.Rand) (*Trial, error) {
	if rounds < 1 || rounds > MaxRounds {
		return nil, fmt.Errorf("%d rounds: choose 1 to %d", rounds, MaxRounds)
	}
	t := &Trial{}
	for range rounds {
		t.x = append(t.x, Side(r.IntN(2)))
	}
	return t, nil
}

// Rounds gives the number of rounds answered and of all.
func (t *Trial) Rounds() (answered, all int) { return len(t.answers), len(t.x) }

// Done tells whether all rounds are answered.
func (t *Trial) Done() bool { return len(t.answers) == len(t.x) }

// X is what the present round's X is, for whoever plays it: it must not be
// shown. After the last round, the last X.
func (t *Trial) X() Side { return t.x[min(len(t.answers), len(t.x)-1)] }

// Answer takes the person's answer and goes on to the next round. Answers
// after the last round are ignored.
func (t *Trial) Answer(s Side) {
	if !t.Done() {
		t.answers = append(t.answers, s)
	}
}

// Right is how many answers so far were right.
func (t *Trial) Right() (n int) {
	for i, s := range t.answers {
		if s == t.x[i] {
			n++
		}
	}
	return n
}

// Guessing is the probability of at least as many right answers by guessing.
func (t *Trial) Guessing() float64 { return Guessing(t.Right(), len(t.answers)) }

// Guessing is the exact probability of at least so many right answers in so
// many rounds if each is a toss of a coin: Σ C(rounds, k) / 2^rounds over
// k ≥ right.
func Guessing(right, rounds int) float64 {
	sum, term := new(big.Int), new(big.Int)
	for k := max(0, right); k <= rounds; k++ {
		sum.Add(sum, term.Binomial(int64(rounds), int64(k)))
	}
	p, _ := new(big.Rat).SetFrac(sum, term.Lsh(big.NewInt(1), uint(rounds))).Float64()
	return p
}
