package presets

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

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
	if !c.On() && allowed(c.Hz) {
		return strconv.FormatFloat(c.Hz, 'f', -1, 64) + offMark
	}
	return c.String()
}

const offMark = "/0"

func readCut(text string) (filter.Cut, error) {
	if number, off := strings.CutSuffix(text, offMark); off {
		if hz, err := strconv.ParseFloat(number, 64); err == nil && allowed(hz) {
			return filter.Cut{Hz: hz}, nil
		}
	}
	return filter.ParseCut(text)
}

func allowed(hz float64) bool { return hz >= filter.MinHz && hz <= filter.MaxHz }

func finite(numbers ...float64) error {
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%g is not a level", x)
		}
	}
	return nil
}
