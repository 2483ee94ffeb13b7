// Package watch works in the background on what is looked at: it renders the frame for
// the viewer, plays the clip, and finds out about the chosen matte on the frame shown
// (Assessor), over the clip (Checker) and against its last proof (Reviewer). Of the
// requests that come while one is worked on, the newest alone counts (Latest).
package watch
