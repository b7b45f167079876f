//! Two cylinders that sit in one another: clearance, or interference and what it does.
