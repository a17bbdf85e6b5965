// Package phrase keeps the last seconds of the input, and makes of them a
// loop that has no seam, so that settings can be compared without talking on.
package phrase
