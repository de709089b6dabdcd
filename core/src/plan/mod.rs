//! Chosen causes and loads: what to do, how to check it, when.
