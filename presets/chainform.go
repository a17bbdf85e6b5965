package presets

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"rollready/dsp/chain"
	"rollready/dsp/filter"
)

// chainForm is chain.Settings on disk.
type chainForm struct {
	GainDB    float64 `toml:"gain_db"`
	HighPass  string  `toml:"high_pass"`
	LowPass   string  `toml:"low_pass"`
	LimitOn   bool    `toml:"limit_on"`
	LimitDBTP float64 `toml:"limit_dbtp"`
}

func formOfChain(c chain.Settings) chainForm {
	return chainForm{c.GainDB, cutText(c.HighPass), cutText(c.LowPass), c.Limit.On, c.Limit.CeilingDBTP}
}

func (f chainForm) chain() (chain.Settings, error) {
	high, errHigh := readCut(f.HighPass)
	low, errLow := readCut(f.LowPass)
	c := chain.Settings{GainDB: f.GainDB, HighPass: high, LowPass: low,
		Limit: chain.Limit{On: f.LimitOn, CeilingDBTP: f.LimitDBTP}}
	return c, errors.Join(errHigh, errLow, c.Check(), finite(f.GainDB, f.LimitDBTP))
}

// cutText writes a filter. One that is off keeps its cutoff as "80/0", so that
// it comes back where it was when it is turned on.
func cutText(c filter.Cut) string {
	if !c.On() && c.Hz >= filter.MinHz && c.Hz <= filter.MaxHz {
		return strconv.FormatFloat(c.Hz, 'f', -1, 64) + "/0"
	}
	return c.String()
}

func readCut(text string) (filter.Cut, error) {
	c, err := filter.ParseCut(text)
	if !c.On() && !(c.Hz >= filter.MinHz && c.Hz <= filter.MaxHz) {
		c.Hz = 0
	}
	return c, err
}

func finite(numbers ...float64) error {
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%g is not a level", x)
		}
	}
	return nil
}
