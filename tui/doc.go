// Package tui is the program on the terminal.
//
// # Rooms
//
// From the terminal inwards: [rollready/tui/terminal] gives whole key and
// mouse sequences and takes pictures, [rollready/tui/canvas] is the picture,
// [rollready/tui/theme] its looks, [rollready/tui/widget] what is drawn and
// pressed anywhere, [rollready/tui/view] what is drawn of the sound,
// [rollready/tui/desk] what all screens share. Each screen is a package below
// tui/screen; none knows another. The root here only routes: keys that mean
// the same everywhere, which screen is open, what lies on top, and the rows
// around it.
//
// # Rules of the screens
//
//   - Words beside colours, units beside figures, one plain sentence that says
//     what to do, always in the same place.
//   - Every control can be dragged, stepped by key and typed. A press never
//     makes a value jump; a drag moves it from where it is.
//   - Nothing that can't be taken back hangs on one key, and nothing at all on
//     Escape alone but going back.
//   - A screen draws and answers; it owns no goroutine and no file, and no
//     rule of the domain. Slow work is a command whose result comes back as a
//     message.
//   - Every screen fills width × height exactly.
//
// A new screen is a package with a New and one line in screens.
package tui
