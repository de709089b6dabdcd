//! The lifter's build: segment lengths and masses, and what they let expect of the three lifts.
