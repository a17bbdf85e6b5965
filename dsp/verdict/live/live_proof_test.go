//go:build proof

package live

import "testing"

func TestProofSituations(t *testing.T) { grade(t, 0, 1, 2, 3, 4) }

func TestProofSteadyForTenMinutes(t *testing.T) {
	steady(t, 600, []float64{-30, -18, -15, -12, -9, -6}, 0, 1, 2, 3, 4)
}

func TestProofSteadyOnFaults(t *testing.T) { steadyFaults(t, 120, 0, 1, 2, 3, 4) }

func TestProofHumThatBeginsLater(t *testing.T) { humBegins(t, 0, 1, 2, 3, 4) }

func TestProofTheZoneStandsBesideAnotherFault(t *testing.T) { zoneStands(t, speakers) }
