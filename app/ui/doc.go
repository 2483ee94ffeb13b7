// Package ui is the window: what the program shows and what the user can do.
package ui
