// Package view draws what several screens show of the rig: meters, bands, controls, and the sentence.
//
// Levels are drawn on one scale in dBFS, the camera's on its own; the bands,
// the chain's response and the filters' tracks lie on one frequency scale, so
// that a cutoff stands under the bands it cuts. Whether a level is right is
// said by the rig, here it only gets its colour and pattern.
package view
