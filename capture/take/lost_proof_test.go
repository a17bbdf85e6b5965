//go:build proof && linux

package take

import "testing"

func TestProofKilledTwoHundredTimes(t *testing.T) { killedAtAnyMoment(t, 200) }

func TestProofCopiedTwoHundredTimes(t *testing.T) { copiedAtAnyMoment(t, 200) }

func TestProofAnHourInFlatMemory(t *testing.T) { flatMemory(t, 60) }
