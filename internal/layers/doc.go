// Package layers keeps the package tree as it was drawn. It has no code of its
// own: its tests parse every Go file of the module and hold its imports to one
// text, policy in policy_test.go, in which "a < b, c" means that a may import b
// and c and nothing else of ours.
//
// The same tests see to it that an outside module with a large surface has one
// owner, that core packages stay pure (no disk, network, log, clock or chance of
// their own), and that test helpers stay out of the program.
package layers
