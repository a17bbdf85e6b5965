//go:build proof

package survey

import "testing"

func TestProofBlockSizesDoNotMatter(t *testing.T) { blockSizes(t, 1, 480, 4097) }

func TestProofComparisonOfLaptopAndCamera(t *testing.T) { laptopAndCamera(t, 90, true) }

func TestProofACutCopyIsNoCleaner(t *testing.T) { noCutCopyIsCleaner(t, voices[:6]) }
