// Package weighting is the frequency weighting A and C and the time weighting
// F and S of IEC 61672-1:2013, class 1 at every sample rate from 44.1 to
// 192 kHz.
package weighting
