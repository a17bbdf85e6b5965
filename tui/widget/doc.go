// Package widget holds what is drawn and pressed on any screen, and knows no sound.
//
// A screen draws into a [Frame]; what answers to the mouse is noted there with
// its area, anew with every frame, and later ones lie on top. A [Pointer]
// brings presses to it: whoever was pressed has the mouse until the release.
// Lists, scrolls, the field and the question in the last row are made of that.
package widget
