//! Teeth: the mesh with the mate, and what they carry.
