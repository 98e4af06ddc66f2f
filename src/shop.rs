//! The business of a shop: money, prices, hours, estimates, quotes. Pure.
