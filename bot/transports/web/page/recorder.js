// Runs in the audio thread: hands on what the microphone gives, block by block.
registerProcessor("recorder", class extends AudioWorkletProcessor {
  process(inputs) {
    if (inputs[0][0]) this.port.postMessage(inputs[0][0].slice());
    return true;
  }
});
