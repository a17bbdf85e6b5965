//go:build proof

package take

import "testing"

func TestProofDamagedTakesAreMendedOnce(t *testing.T) { wrecks(t, 4000) }
