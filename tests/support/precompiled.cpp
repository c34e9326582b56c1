// The tests' precompiled header is built for this file.
