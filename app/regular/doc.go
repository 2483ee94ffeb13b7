// Package regular opens the files that work is done on: regular ones alone. To
// open a named pipe is to wait for whoever writes into it, a device may have no
// end, and a folder has no bytes; each is refused at once, with what it is.
package regular
