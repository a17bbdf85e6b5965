// Package match brings recordings together that were made at the same time, by
// their sound alone.
//
// It goes from coarse to fine. A [Print] keeps the levels of a recording in 12
// bands, 50 times a second: little enough to keep for good and to compare with
// thousands. An [Index] finds where the pieces of one print fit best in others,
// to a few hundredths of a second. Then [Align] compares the waves themselves
// at many places, which tells a sentence from the same sentence spoken again,
// and gives the offset to a few microseconds, the difference of the clocks, and
// the places where one of the two lost time.
package match
