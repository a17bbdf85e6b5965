package strips

// Channels are the channels of an interface, from 1, that the strips hear; 0
// is the mean of all. A plain value.
type Channels struct {
	Count int
	Of    [Max]int
}

// ChannelsOf makes them of channels from 0; nil: the mean.
func ChannelsOf(count int, from []int) Channels {
	c := Channels{Count: count}
	for i, channel := range from[:min(len(from), Max)] {
		c.Of[i] = channel + 1
	}
	return c
}
