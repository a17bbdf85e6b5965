package strips

import "strings"

// Words is what so many strips do, in a sentence.
func (s Settings) Words(count int) string {
	s = s.Fit(count)
	c := s.Chain(0)
	text := c.Words()
	if s.Unlinked {
		var each []string
		for i, strip := range s.InUse() {
			words := s.Called(i) + ": " + strip.Chain.Words()
			if strip.Inverted {
				words += ", polarity inverted"
			}
			if strip.Muted {
				words += ", muted"
			}
			each = append(each, words)
		}
		text = strings.Join(each, "; ") + s.Limit.Words()
	}
	if s.Route != "" {
		text += "; " + s.Route.Does()
	}
	return text
}
