// Package journal tells other programs what happens in the window: a journal of its
// events and of where its controls are, and a trace of how long pictures take.
//
// All methods do nothing on nil, which stands for nobody who follows.
package journal
