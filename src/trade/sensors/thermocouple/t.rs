//! Type T (copper and constantan): coefficients of the ITS-90 reference function and of its approximate inverse.
//!
//! Source: NIST Standard Reference Database 60, type T (from NIST Monograph 175; a work of the US government).

use super::{Inverse, Piece, Reference};

pub(super) static TYPE_T: Reference = Reference {
    table: "the type T table",
    pieces: &[
        Piece {
            low: -270.0,
            high: 0.0,
            coefficients: &[
                0.0,
                0.038748106364,
                4.4194434347e-5,
                1.1844323105e-7,
                2.0032973554e-8,
                9.0138019559e-10,
                2.2651156593e-11,
                3.6071154205e-13,
                3.8493939883e-15,
                2.8213521925e-17,
                1.4251594779e-19,
                4.8768662286e-22,
                1.079553927e-24,
                1.3945027062e-27,
                7.9795153927e-31,
            ],
        },
        Piece {
            low: 0.0,
            high: 400.0,
            coefficients: &[
                0.0,
                0.038748106364,
                3.329222788e-5,
                2.0618243404e-7,
                -2.1882256846e-9,
                1.0996880928e-11,
                -3.0815758772e-14,
                4.547913529e-17,
                -2.7512901673e-20,
            ],
        },
    ],
    bump: None,
    inverse: &[
        Inverse {
            high: 0.0,
            coefficients: &[0.0, 25.949192, -0.21316967, 0.79018692, 0.42527777, 0.13304473, 0.020241446, 0.0012668171],
        },
        Inverse {
            high: 20.872,
            coefficients: &[0.0, 25.928, -0.7602961, 0.04637791, -0.002165394, 6.048144e-5, -7.293422e-7],
        },
    ],
    coldest: -200.0,
};
