// Package compare lets two settings of the chain be compared on one input: by
// ear, with a switch that makes no click and at equal loudness, by meter, and
// blind.
package compare
