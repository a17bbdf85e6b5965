// Package mend makes a camera's bad stretches good out of a take. It compares
// the two, which run with each other frame by frame, finds where the camera's
// sound clipped, broke up or was driven by its automatic level, and puts the
// take there alone: filtered and levelled like what surrounds it, joined
// without a change of power.
package mend
