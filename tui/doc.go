// Package tui is the program on the terminal.
//
// Rules of the screens:
//
//   - Words beside colours, units beside figures, one plain sentence that says
//     what to do, always in the same place.
//   - Every control can be dragged, stepped by key and typed. A press never
//     makes a value jump; a drag moves it from where it is.
//   - Nothing that can't be taken back hangs on one key, and nothing at all on
//     Escape alone but going back.
//   - A screen draws and answers; it owns no goroutine and no file. Slow work
//     is a command whose result comes back as a message.
//   - Every screen fills width × height exactly.
//
// The root model only routes: size, open screen, newest reading, what lies on
// top. A new screen is one file and one line in screens.
package tui
