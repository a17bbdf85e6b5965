// Package ab runs a comparison live: two settings at once on the session's
// input, both metered, matched in loudness, on live sound or on a phrase, and
// heard through the ways out.
package ab
