// Package look is the window's face: its palette, its theme and its small
// controls. It knows nothing of pictures, mattes or masks.
//
// Around a picture everything is grey with R = G = B, so that no colour beside
// the picture shifts how the picture is seen. The one accent marks what is
// chosen or acting now, and nothing else.
//
// Controls are silent when the program sets them; what the user does, each
// reports through one function. Lengths are in Fyne's units.
package look
