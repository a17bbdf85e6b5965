//go:build proof

package preroll_test

import (
	"testing"

	"rollready/dsp/internal/twovoices"
)

func TestProofSixtyScenesOfTwo(t *testing.T) { gradePeople(t, twovoices.Sixty()) }
