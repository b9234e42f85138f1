"""One function per address: guard, form, store, render."""
