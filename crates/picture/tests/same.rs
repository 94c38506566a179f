//! Equal input gives equal bytes: on every machine, with any number of threads, today and later. The numbers below
//! stand for the pictures as they are meant to be; whoever changes how cloth looks looks at the gallery first and
//! writes the new ones here.

mod support;

use fellmark_core::cloth::size::State;
use fellmark_core::side::Surface;
use fellmark_picture::relief::{Kept, Picture, Scale, picture};
use std::num::NonZeroUsize;
use support::{BANDS, plan, studied};

/// FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; the basis and the prime as in IETF RFC 9923; test vectors from memory).
fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[test]
fn the_hash_is_the_published_one() {
    // Test vectors of the same source.
    assert_eq!(fnv(b""), 0xcbf2_9ce4_8422_2325);
    assert_eq!(fnv(b"a"), 0xaf63_dc4c_8601_ec8c);
    assert_eq!(fnv(b"foobar"), 0x8594_4171_f739_67e8);
}

#[test]
fn equal_input_gives_equal_bytes_with_any_number_of_threads() {
    let study = studied(&plan(12, BANDS));
    let known = [
        (State::OnLoom, Surface::Front, true, 5.0, 0x9771_b12d_2d2b_eb51_u64),
        (State::OnLoom, Surface::Back, false, 14.0, 0xca21_7eb4_71dc_1f23),
        (State::Released, Surface::Front, false, 3.0, 0xbb53_6a3a_349c_5868),
        (State::Finished, Surface::Back, false, 9.0, 0xb34c_d052_f2b4_1117),
    ];
    let mut found = Vec::new();
    for (state, surface, frame, per_mm, _) in known {
        let options = |threads| Picture {
            state,
            surface,
            frame,
            scale: Scale::PerMm(per_mm),
            threads: NonZeroUsize::new(threads),
            ..Picture::default()
        };
        let made = [1, 2, 4].map(|threads| fnv(&picture(&study, &options(threads)).unwrap().rgb));
        assert_eq!(made, [made[0]; 3]);
        assert_eq!(fnv(&Kept::new(&study, &options(2)).unwrap().raster().rgb), made[0]);
        found.push(made[0]);
    }
    let known: Vec<String> = known.iter().map(|known| format!("{:#018x}", known.4)).collect();
    let found: Vec<String> = found.iter().map(|hash| format!("{hash:#018x}")).collect();
    assert_eq!(found, known);
}
