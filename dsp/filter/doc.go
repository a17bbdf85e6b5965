// Package filter designs and runs the second-order sections of the chain.
//
// Coefficients follow the W3C Audio EQ Cookbook (bilinear transform with
// prewarping); a Butterworth of order n is a cascade of sections with the Qs
// 1/(2·cos(π(2k+1)/2n)), and one first-order section where n is odd.
package filter
