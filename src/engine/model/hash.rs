//! A quick hash for keys that we made ourselves.

/// A plain multiplicative hash: keys are short runs of integers we made ourselves.
#[derive(Clone, Copy, Default)]
pub(in crate::engine) struct Mixer;

/// State of [`Mixer`].
pub(in crate::engine) struct MixerState(u64);

impl std::hash::BuildHasher for Mixer {
    type Hasher = MixerState;
    fn build_hasher(&self) -> MixerState {
        MixerState(0x9e37_79b9_7f4a_7c15)
    }
}

impl std::hash::Hasher for MixerState {
    fn finish(&self) -> u64 {
        self.0 ^ (self.0 >> 29)
    }
    fn write(&mut self, bytes: &[u8]) {
        let mut chunks = bytes.chunks_exact(8);
        for chunk in &mut chunks {
            self.write_u64(u64::from_le_bytes(chunk.try_into().expect("eight bytes")));
        }
        for &byte in chunks.remainder() {
            self.write_u64(u64::from(byte));
        }
    }
    fn write_u64(&mut self, word: u64) {
        self.0 = (self.0.rotate_left(5) ^ word).wrapping_mul(0x517c_c1b7_2722_0a95);
    }
    fn write_u32(&mut self, word: u32) {
        self.write_u64(u64::from(word));
    }
    fn write_u16(&mut self, word: u16) {
        self.write_u64(u64::from(word));
    }
    fn write_i64(&mut self, word: i64) {
        self.write_u64(word as u64);
    }
    fn write_usize(&mut self, word: usize) {
        self.write_u64(word as u64);
    }
}
