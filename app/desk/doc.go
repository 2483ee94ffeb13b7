// Package desk is an open study and what the user does with it, without a window: what is
// chosen, how it is looked at, every act on mattes, dabs, masks, keys, base, trial and
// proofs, undo, saving, and what works in the background while the hand rests (package
// watch). Whoever shows a desk gives it a Listener, and calls it on one goroutine.
package desk
