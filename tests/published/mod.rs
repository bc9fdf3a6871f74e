//! Check values published elsewhere, one file a source.

mod cfr_limits;
mod nist_units;
mod sae_codes;
