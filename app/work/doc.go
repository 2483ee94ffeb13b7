// Package work opens what is worked on: a study with its footage and what
// renders it. The window and the command line both begin here.
package work
